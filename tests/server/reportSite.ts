import { execFileSync } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fingerprint } from '../../edge/evidence/siteKey.ts';
import { type Paper, type ReportInput, renderReport, reportInputOf, type SealedAs } from '../../server/evidence/report/report.ts';
import { about, type HandSite, quality } from '../support/handSite.ts';
import { tempFolder } from '../support/service.ts';

/** Four hours before the clock of the site goes back from 02:00 to 01:00. */
export const BEFORE_THE_CHANGE_MS = Date.parse('2026-11-01T03:00:00Z');
export const ZONE = 'America/Chicago';

/** What somebody writes who has a lot to say, word by word. */
export const LONG = Array.from({ length: 330 }, (_, index) => `w${index}`).join(' ');
export const WRONG_NOTE = 'This was the other joint.';

/** A pit by night, over the change of the clock: two joints, one by the book and one that nobody has begun. */
export async function nightSite(site: HandSite): Promise<void> {
  const say = site.say.bind(site);
  await say({ kind: 'site.described', name: 'Mill lane', timeZone: ZONE }, quality);
  await say({ kind: 'sump.added', sump: 's1', label: 'North sump', serial: 'SN-4711' });
  await say({ kind: 'probe.registered', probe: 'p1', role: 'material', label: 'Rim', uncertaintyCelsius: 0.5 });
  await say({ kind: 'probe.registered', probe: 'a1', role: 'ambient', label: 'Pit air' });
  await say({ kind: 'lot.added', lot: 'R-1', material: 'resin', label: 'Drum 1' });
  await say(
    {
      kind: 'calibration.recorded',
      probe: 'p1',
      at: site.at(),
      calibration: {
        points: [
          { referenceCelsius: 0, indicatedCelsius: 0.2 },
          { referenceCelsius: 30, indicatedCelsius: 30.1 },
        ],
        referenceUncertaintyCelsius: 0.1,
        reference: 'ice and thermometer 7',
        on: '2026-10-31',
        by: 'Q. Fir',
      },
      dueAt: '2027-10-31T00:00:00Z',
    },
    quality,
  );
  const joint = { kind: 'joint.added', sump: 's1', schedule: 'polyester-laminate' };
  await say({ ...joint, joint: 'j1', label: 'Base laminate', probes: ['p1'], ambient: 'a1' });
  await say({ ...joint, joint: 'j2', label: 'Upper laminate', probes: [] });
  await say({ kind: 'prep.signed', joint: 'j1', at: site.at(), sanded: true, wiped: true, dry: true, surfaceCelsius: 18 });
  const resin = { resin: { value: 2, unit: 'quart' }, catalystMillilitres: 30, resinCelsius: 18, resinLot: 'R-1' };
  await say({ kind: 'mix.recorded', joint: 'j1', at: site.at(), ...resin });
  await site.hear('p1', 'temperature', about(18), { from: 0.1 });
  await say({ kind: 'joint.laidUp', joint: 'j1', at: site.at(), note: '3 wraps.' }, { name: 'Жанна Ильина', role: 'crew' });

  await site.cure(3.5, 16, 'p1', 'a1');
  await say({ kind: 'note.added', joint: 'j1', text: 'half past one, the first time' });
  await site.cure(1, 16, 'p1', 'a1');
  await say({ kind: 'note.added', joint: 'j1', text: 'half past one, the second time' });
  const wrong = await say({ kind: 'note.added', joint: 'j1', text: WRONG_NOTE });
  await say({ kind: 'entry.withdrawn', seq: wrong, reason: 'I stood at the wrong pit' }, quality);
  // A silence of the probe, then the cold of the morning.
  site.wait(1);
  await site.cure(2, 3, 'p1');
  await site.cure(25, 12, 'p1', 'a1');
  site.wait(61 / 3600);
}

/** A retest after a test that failed, as somebody with a stick saw them. */
export async function waterTests(site: HandSite): Promise<void> {
  const inches = (value: number) => ({ value, unit: 'in' });
  for (const [hoursAgo, end] of [
    [2.9, 44.8125],
    [1.3, 45],
  ] as const) {
    const started = { kind: 'activity.started', sump: 's1', activity: 'water-test', at: site.at(hoursAgo) };
    await site.say({ ...started, reason: 'The trucks are here' }, quality);
    await site.say(
      {
        kind: 'hydrotest.recorded',
        sump: 's1',
        method: 'full-height',
        fillAboveHighest: inches(6),
        waterDepth: inches(45),
        filledAt: site.at(hoursAgo),
        startedAt: site.at(hoursAgo - 0.25),
        endedAt: site.at(hoursAgo - 1.25),
        byHand: { start: inches(45), end: inches(end), resolution: inches(1 / 16) },
        waterCelsiusStart: 9.5,
        waterCelsiusEnd: 9.4,
        note: end === 45 ? 'Still.' : 'Wet round the second fitting.',
      },
      quality,
    );
  }
}

/** Seals the joints and signs for them, as the packer does, and gathers what the report says. */
export async function sealedInput(site: HandSite, ...joints: readonly string[]): Promise<ReportInput> {
  const { live } = site;
  const size = await live.sealJoint(...joints);
  const checkpoint = live.ledger.signed.at(size);
  if (checkpoint === null) throw new Error(`nothing was signed at ${size}`);
  const sealed: SealedAs = {
    size,
    rootHash: Buffer.from(checkpoint.root).toString('hex'),
    fingerprint: fingerprint(live.publicKey),
    keyName: `warmhours/${live.site}`,
    madeAt: new Date(site.nowMs).toISOString(),
    anchored: false,
  };
  return reportInputOf(live, joints, sealed);
}

/** A report on disk, looked at with other people's programs. */
export class Printed {
  readonly bytes: Uint8Array;
  readonly #folder = tempFolder();
  readonly #path = join(this.#folder.path, 'report.pdf');

  private constructor(bytes: Uint8Array) {
    this.bytes = bytes;
    writeFileSync(this.#path, bytes);
  }

  static async of(input: ReportInput, paper: Paper = 'letter'): Promise<Printed> {
    return new Printed(await renderReport(input, paper));
  }

  [Symbol.dispose](): void {
    this.#folder[Symbol.dispose]();
  }

  #run(program: string, ...args: readonly string[]): string {
    return execFileSync(program, args, { encoding: 'utf8', maxBuffer: 64 * 1024 * 1024, stdio: ['ignore', 'pipe', 'pipe'] });
  }

  /** All text, or that of one page, in the order in which it is read aloud; what was broken over lines is one line again. */
  text(page?: number): string {
    const range = page === undefined ? [] : ['-f', String(page), '-l', String(page)];
    return this.#run('pdftotext', '-raw', ...range, this.#path, '-').replace(/\s+/g, ' ');
  }

  /** By name: what the document says of itself. */
  info(): Record<string, string> {
    const lines = this.#run('pdfinfo', this.#path).trim().split('\n');
    return Object.fromEntries(lines.map((line) => line.split(/:\s+/, 2) as [string, string]));
  }

  /** What is told of the figures to who cannot see them. */
  alternatives(): string[] {
    const { qpdf } = JSON.parse(this.#run('qpdf', '--json', '--json-key=qpdf', this.#path)) as { qpdf: [unknown, object] };
    const objects = Object.values(qpdf[1]) as { value?: Record<string, unknown> }[];
    const found = objects.flatMap(({ value }) => (typeof value?.['/Alt'] === 'string' ? [value['/Alt']] : []));
    return found.map((text) => text.replace(/^u:/, ''));
  }

  /** The tree of tags, indented. */
  structure(): string {
    return this.#run('pdfinfo', '-struct', this.#path);
  }

  images(): number {
    return this.#run('pdfimages', '-list', this.#path).trim().split('\n').length - 2;
  }

  /** Throws with what is wrong. */
  check(): string {
    return this.#run('qpdf', '--check', this.#path);
  }

  bookmarks(): { title: string; kids: string[] }[] {
    const { outlines } = JSON.parse(this.#run('qpdf', '--json', '--json-key=outlines', this.#path)) as {
      outlines: { title: string; kids: { title: string }[] }[];
    };
    return outlines.map(({ title, kids }) => ({ title, kids: kids.map((kid) => kid.title) }));
  }

  /** Everything that is drawn, in the language of the pages. */
  drawing(): string {
    return this.#run('qpdf', '--qdf', '--object-streams=disable', this.#path, '-');
  }
}
