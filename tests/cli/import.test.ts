import { once } from 'node:events';
import { writeFileSync } from 'node:fs';
import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { importFile } from '../../edge/verbs/import.ts';
import { type TempFolder, tempFolder } from '../support/service.ts';

const TOKEN = 'a-token-for-tests-of-40-characters-here!';
let folder: TempFolder;
let file: string;
beforeAll(() => {
  folder = tempFolder();
  file = join(folder.path, 'log.csv');
  writeFileSync(file, 'time,celsius\n2026-01-15T06:00:00Z,12\n');
});
afterAll(() => folder[Symbol.dispose]());

async function run(args: string[], environment: Record<string, string> = { WARMHOURS_TOKEN: TOKEN }) {
  const out: string[] = [];
  const err: string[] = [];
  const { signal } = new AbortController();
  const code = await importFile(args, { out: (line) => out.push(line), err: (line) => err.push(line), signal }, environment);
  return { code, out, err };
}

/** Something that answers HTTP, and is no site. */
async function answering(status: number, body: string): Promise<{ url: string; [Symbol.dispose](): void }> {
  const server = createServer((request, response) => {
    request.resume();
    request.on('end', () => response.writeHead(status, { 'content-type': 'application/json' }).end(body));
  }).listen(0, '127.0.0.1');
  await once(server, 'listening');
  const url = `http://127.0.0.1:${(server.address() as AddressInfo).port}`;
  return { url, [Symbol.dispose]: () => server.close() };
}

describe('what cannot be used is said in a sentence, with exit code 2', () => {
  test.each<[string[], RegExp, Record<string, string>?]>([
    [[], /give one CSV file/],
    [['a.csv', 'b.csv', '--probe', 'p1'], /give one CSV file, not 2/],
    [['a.csv'], /--probe must be the id of a probe$/m],
    [['a.csv', '--probe', 'p/1'], /--probe must be the id of a probe, not "p\/1"/],
    [
      ['a.csv', '--probe', 'p1', '--url', 'site:8080'],
      /--url must be an address such as http:\/\/127\.0\.0\.1:8080, not "site:8080"/,
    ],
    [['a.csv', '--probe', 'p1'], /an access token is needed/, {}],
    [['a.csv', '--probe', 'p1', '--token', 'with blank'], /an access token is needed/],
    [['a.csv', '--probe', 'p1', '--colour', 'red'], /--colour/],
    [['nowhere.csv', '--probe', 'p1'], /there is no file nowhere\.csv/],
    [['.', '--probe', 'p1'], /\. cannot be read: /],
  ])('%j', async (args, words, environment) => {
    const { code, out, err } = await run(args, environment);
    expect({ code, out }).toEqual({ code: 2, out: [] });
    expect(err.join('\n')).toMatch(words);
  });

  test('all faults of one order at once', async () => {
    const { err } = await run([], {});
    expect(err).toHaveLength(4);
    expect(err.at(-1)).toBe('import: --help shows all options');
  });
});

test('--help is answered with every option', async () => {
  const { code, out, err } = await run(['--help']);
  expect([code, err]).toEqual([0, []]);
  for (const option of ['--probe', '--url', '--token', '--help', 'WARMHOURS_TOKEN']) expect(out.join('\n')).toContain(option);
});

describe('a file that is not taken is told with exit code 1', () => {
  test('nobody answers', async () => {
    const gone = await answering(500, '');
    gone[Symbol.dispose]();
    const { code, out, err } = await run([file, '--probe', 'p1', '--url', gone.url]);
    expect({ code, out }).toEqual({ code: 1, out: [] });
    expect(err.join()).toMatch(/^import: no answer from http:\/\/127\.0\.0\.1:\d+: .*ECONNREFUSED/);
  });

  test.each<[number, string, RegExp]>([
    [409, '{"code":"entry-refused","detail":"this file is in already"}', /^import: this file is in already$/],
    [502, 'Bad Gateway', /^import: http:\/\/127\.0\.0\.1:\d+ answers 502$/],
    [200, '{}', /answers 200$/],
    [201, '{"seq":1}', /answers something else than a site does$/],
  ])('the answer is %i %s', async (status, body, words) => {
    using other = await answering(status, body);
    const { code, out, err } = await run([file, '--probe', 'p1', '--url', other.url]);
    expect({ code, out }).toEqual({ code: 1, out: [] });
    expect(err.join()).toMatch(words);
  });
});
