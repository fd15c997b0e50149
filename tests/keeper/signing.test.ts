import { join } from 'node:path';
import { DatabaseSync } from 'node:sqlite';
import { describe, expect, test } from 'vitest';
import { Keeper } from '../../edge/keeper/keeper.ts';
import { LedgerView } from '../../edge/ledger/ledgerView.ts';
import { type Change, LiveSite } from '../../edge/tally/liveSite.ts';
import { HandClock } from '../support/clock.ts';
import { HandSite, quality } from '../support/handSite.ts';
import { tempFolder } from '../support/service.ts';

describe('the ledger of a site at work', () => {
  test('is signed for once an hour, when it has grown', async () => {
    await using site = await HandSite.start(Date.UTC(2026, 4, 4, 8));
    const { ledger } = site.live;
    await site.live.seal(0);
    const first = ledger.signed.newest();
    expect(first?.size).toBe(ledger.tree.size);
    await site.say({ kind: 'note.added', text: 'Rain to come.' });
    await site.live.seal(0);
    expect(ledger.signed.newest()).toEqual(first);
    site.wait(1);
    await site.live.seal(0);
    expect(ledger.signed.newest()?.size).toBe(ledger.tree.size);
    expect(ledger.signed.newest()?.size).toBeGreaterThan(first?.size ?? 0);
    site.wait(1);
    const size = ledger.tree.size;
    await site.live.seal(0);
    expect(ledger.signed.newest()?.size).toBe(size);
  });

  test('that is not the one that was signed for is shown, and nothing is recorded', async () => {
    using folder = tempFolder();
    const path = join(folder.path, 'ledger.db');
    const clock = new HandClock(Date.UTC(2026, 4, 4, 8));
    const parts = async () => {
      const keeper = await Keeper.open(path, 'yard');
      const ledger = new LedgerView(path);
      return { keeper, ledger, live: await LiveSite.start({ site: 'yard', keeper, ledger, clock, program: 'test' }) };
    };
    const before = await parts();
    await before.live.say({ kind: 'sump.added', sump: 's1', label: 'North' }, quality);
    await before.live.seal(0);
    await before.live.stop();
    before.ledger.close();
    await before.keeper.close();
    const database = new DatabaseSync(path);
    database.exec('DROP TRIGGER signed_is_never_changed; UPDATE signed_checkpoint SET root = zeroblob(32)');
    database.close();

    const { live, ledger, keeper } = await parts();
    const told: Change[] = [];
    live.onChange((change) => told.push(change));
    expect([live.recording, live.fault?.message]).toEqual([
      false,
      expect.stringContaining('they were changed; nothing was deleted'),
    ]);
    expect(told).toEqual([{ kind: 'recording' }]);
    expect(live.views.sump('s1').label).toBe('North');
    await expect(live.say({ kind: 'note.added', text: 'x' }, quality)).rejects.toMatchObject({ code: 'not-recording' });
    live.tick();
    expect([...ledger.entries()].map(({ entry }) => entry.kind)).toEqual(['boot.started', 'sequence.recorded', 'sump.added']);
    await live.stop();
    ledger.close();
    await keeper.close();
  });
});
