import { expect, test } from 'vitest';
import { claimFolder } from '../../edge/ledger/claim.ts';
import { spawnService, tempFolder } from '../support/service.ts';

test('a data folder has one service at a time', () => {
  using folder = tempFolder();
  const release = claimFolder(folder.path);
  expect(() => claimFolder(folder.path)).toThrow(/another Warmhours runs on the folder/);
  release();
  claimFolder(folder.path)();
});

test('a second service says so and ends; one that was killed leaves no claim', async () => {
  using folder = tempFolder();
  const first = await spawnService({ dataFolder: folder.path });
  await expect(spawnService({ dataFolder: folder.path })).rejects.toThrow(/another Warmhours runs on the folder/);
  await first.kill();
  await using next = await spawnService({ dataFolder: folder.path });
  expect(next.httpUrl).toMatch(/^http:/);
});
