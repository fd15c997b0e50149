import { PAYLOAD, PAYLOAD_MANIFEST, TAG_MANIFEST } from '../../edge/evidence/bagit.ts';
import * as names from '../../edge/evidence/bundle.ts';
import { iso } from '../../edge/site/views/iso.ts';
import type { Evidence } from './gather.ts';

/** `READ-ME-FIRST.txt`: what the packet is, and how to check it without this program. Lines fit a terminal. */
export function guideOf({ bundle, checkpoint, record, site }: Evidence): string {
  const { subject, tree, key } = bundle;
  const file = (name: string) => `${PAYLOAD}${name}`;
  const sump = subject.sump === null ? [] : [`Sump ${subject.sump}${labelled(site.sumps.get(subject.sump)?.label)}`];
  const joints = record.joints.map(({ joint, label }) => `Joint ${joint}${labelled(label)}`);
  return `READ ME FIRST

Evidence of how bonded joints cured, made by the site "${bundle.site}" at ${bundle.madeAt}.

${[...sump, ...joints].map((line) => `  ${line}\n`).join('')}
Begin with ${file(names.REPORT)}. It says on one page what was cured, when, by whom, from
what, and what stood out.

What is in here

  ${file(names.REPORT)}          the report
  ${file(names.READINGS_CSV)}        every reading, for a spreadsheet: UTC, and the site's own time with its offset
  ${file(names.READINGS)}     the same as whole numbers, as they are stored (m°C, m%RH, mV, milliohm, micrometres)
  ${file(names.RECORD)}         warm hours and the time of every stage, as the site claims them
  ${file(names.ENTRIES)}      everything that people and the program put on record, with proofs
  ${file(names.BLOCKS)}       the readings as they were signed, with proofs
  ${file('schedules/')}, ${file('rate-tables/')}   the cure rules, and the table that hours are counted by
  ${file(names.NOTE)}     what the site signed
  ${file(names.PAGE)}         a page that checks all of it in a browser, without a network

How to check that no file was changed

In the folder that holds this packet's ${PAYLOAD_MANIFEST}, in a terminal:

  sha256sum -c ${PAYLOAD_MANIFEST}
  sha256sum -c ${TAG_MANIFEST}

Every line must end in OK.

How to check that the site signed it

  openssl pkeyutl -verify -pubin -inkey ${file(names.SITE_KEY)} -rawin -in ${file(names.NOTE_TEXT)} -sigfile ${file(names.SIGNATURE)}

It must answer "Signature Verified Successfully" (OpenSSL 3). ${file(names.NOTE_TEXT)} names the
site, how many entries and blocks its ledger held (${tree.size}), the root of the hash tree
over all of them, and when it was signed (${iso(checkpoint.atMs)}).

A signature is worth as much as the key. This packet brings its own, and whoever makes
another packet could bring another. So compare its fingerprint with one that you got
another way: from the site itself, from an earlier packet, from a contract. Here it is

${lines(key.fingerprint)}
and this shows that of the enclosed key:

  openssl pkey -pubin -in ${file(names.SITE_KEY)} -outform DER | sha256sum

How to check everything else

Open ${file(names.PAGE)} in a browser and drop the ZIP on it, or run "verify" of the
program (${bundle.program}, or a later version) on it. Both follow every entry and reading to
the signed root, and count the warm hours anew from the readings. A page that comes with
the packet proves nothing by itself: get the same page from somebody you trust.

What it proves, and what not

It proves that nothing in here was altered since the checkpoint was signed, that nothing
that bore on a joint when it was last sealed was left out, and that the warm hours follow
from the readings by the enclosed rules.

It does not prove that the probes sat where they should, or that people told the truth.

Signed, not yet anchored outside the site: whoever holds the site's key could have made
another record before.
`;
}

function labelled(label: string | undefined): string {
  return label === undefined ? '' : `: ${label}`;
}

/** A fingerprint in two lines, as it is read out. */
function lines(fingerprint: string): string {
  const groups = fingerprint.split(' ');
  const half = groups.length / 2;
  return [groups.slice(0, half), groups.slice(half)].map((part) => `  ${part.join(' ')}\n`).join('');
}
