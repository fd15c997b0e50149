import { utf8ToBytes } from '@noble/hashes/utils.js';
import type { z } from 'zod';
import type { Bag } from '../bagit.ts';
import { bytesOfBase64 } from '../base64.ts';
import { BLOCKS, BlockLine, BUNDLE, ENTRIES, EntryLine, RECORD } from '../bundle.ts';
import { canonicalJson } from '../canonical.ts';
import { parseCanonical } from '../strictJson.ts';
import { textOfUtf8 } from '../utf8.ts';
import { failed, type Looked, passed } from './looked.ts';

/** A leaf of the ledger with its way to the root. */
export interface Leaf {
  /** File and line, for whoever looks it up. */
  readonly where: string;
  /** Place in the ledger, from 1. */
  readonly seq: number;
  readonly bytes: Uint8Array;
  /** Hexadecimal, lowest first. */
  readonly proof: readonly string[];
}

export interface EntryLeaf extends Leaf {
  readonly entry: Readonly<Record<string, unknown>>;
}

/** The texts of a bundle, taken apart. */
export interface Enclosed {
  readonly entries: readonly EntryLeaf[];
  readonly blocks: readonly Leaf[];
  readonly record: unknown;
}

class Refusal extends Error {}

/** Whatever is hashed or counted is written in the one way that leaves nothing to interpret (RFC 8785). */
export function lookAtCanonical({ payload }: Bag): Looked<Enclosed> {
  try {
    parsed(payload, BUNDLE);
    const record = parsed(payload, RECORD);
    const entries = linesOf(payload, ENTRIES, EntryLine).map(({ where, entry, seq, proof }) => ({
      ...{ where, seq, proof, entry },
      bytes: utf8ToBytes(canonicalJson(entry)),
    }));
    const blocks = linesOf(payload, BLOCKS, BlockLine).map(({ where, block, seq, proof }) => {
      const bytes = bytesOfBase64(block);
      if (bytes === null) throw new Refusal(`${where}: the block is not written in plain base64`);
      return { where, seq, proof, bytes };
    });
    return passed(
      { entries, blocks, record },
      `${entries.length} entries and ${blocks.length} blocks of readings, in canonical form.`,
    );
  } catch (fault) {
    if (!(fault instanceof Refusal)) throw fault;
    return failed(
      `${fault.message}.`,
      'What is written there could be read in more than one way, or is damaged. Nothing that rests on it can be relied on.',
    );
  }
}

function textOf(payload: Bag['payload'], name: string): string {
  const text = textOfUtf8(payload.get(name) ?? new Uint8Array(0));
  if (text === null) throw new Refusal(`${name} is not UTF-8`);
  return text;
}

function parsed(payload: Bag['payload'], name: string): unknown {
  return canonicalIn(name, textOf(payload, name));
}

function canonicalIn(where: string, text: string): unknown {
  try {
    return parseCanonical(text);
  } catch (fault) {
    throw new Refusal(`${where}: ${(fault as Error).message}`);
  }
}

function linesOf<T extends object>(payload: Bag['payload'], name: string, schema: z.ZodType<T>): (T & { where: string })[] {
  const text = textOf(payload, name);
  if (text === '') return [];
  const lines = text.split('\n');
  if (lines.pop() !== '') throw new Refusal(`${name} is cut short: its last line has no end`);
  return lines.map((line, index) => {
    const where = `${name} line ${index + 1}`;
    const read = schema.safeParse(canonicalIn(where, line));
    if (!read.success) {
      const [issue] = read.error.issues;
      throw new Refusal(`${where} at ${issue?.path.join('.') || 'its top'}: ${issue?.message}`);
    }
    return { ...read.data, where };
  });
}
