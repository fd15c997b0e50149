import { z } from 'zod';
import { CodedError } from '../../edge/errors.ts';
import { spkiPem } from '../../edge/evidence/siteKey.ts';
import type { Leaf } from '../../edge/ledger/leaves.ts';
import type { LiveSite } from '../../edge/tally/liveSite.ts';
import type { Api } from './api.ts';

const LEAVES_MOST = 1000;
/** An answer is not continued beyond this, so that leaves that are long come in several answers. */
const BYTES_MOST = 4 * 2 ** 20;

const Size = z.coerce.number().int().min(0).max(Number.MAX_SAFE_INTEGER);

const leaf = { seq: z.int(), hash: z.string() };
const LeafView = z.discriminatedUnion('kind', [
  /** Its leaf's bytes are the entry's canonical JSON (RFC 8785). */
  z.strictObject({ ...leaf, kind: z.literal('entry'), entry: z.record(z.string(), z.unknown()) }),
  /** Its leaf's bytes, in base64. */
  z.strictObject({ ...leaf, kind: z.literal('block'), block: z.string() }),
]);
type LeafView = z.infer<typeof LeafView>;

const LeavesView = z.strictObject({
  /** Number of leaves in the ledger. Those after the last one given here come with the next request. */
  size: z.int(),
  leaves: z.array(LeafView),
});

/** Roots and proof in hexadecimal (RFC 9162 §2.1.4). */
const ConsistencyView = z.strictObject({
  from: z.int(),
  fromRoot: z.string(),
  to: z.int(),
  toRoot: z.string(),
  proof: z.array(z.string()),
});

/** The ledger as whoever keeps a watch on it sees it: its leaves, and what was signed for them. */
export function ledgerRoutes(api: Api, live: LiveSite): void {
  const { ledger } = live;

  api.get(
    '/api/ledger',
    {
      schema: {
        description: `Leaves after a place in the ledger, at most ${LEAVES_MOST}.`,
        querystring: z.strictObject({
          after: Size.default(0),
          limit: z.coerce.number().int().min(1).max(LEAVES_MOST).default(LEAVES_MOST),
        }),
        response: { 200: LeavesView },
      },
    },
    (request) => {
      const { after, limit } = request.query;
      const leaves: LeafView[] = [];
      let bytes = 0;
      for (const each of ledger.leaves(after)) {
        leaves.push(leafView(each));
        bytes += each.body.length;
        if (leaves.length === limit || bytes >= BYTES_MOST) break;
      }
      return { size: ledger.tree.size, leaves };
    },
  );

  api.get(
    '/api/ledger/checkpoint',
    {
      schema: {
        description: 'The newest signed checkpoint, or the one of a size, as a signed note.',
        querystring: z.strictObject({ at: Size.optional() }),
        produces: ['text/plain'],
        response: { 200: z.string() },
      },
    },
    (request, reply) => {
      const { at } = request.query;
      const checkpoint = at === undefined ? ledger.signed.newest() : ledger.signed.at(at);
      if (checkpoint === null)
        throw new CodedError('not-found', `nothing was signed ${at === undefined ? 'yet' : `for ${at} leaves`}`);
      return plainText(reply, checkpoint.note);
    },
  );

  api.get(
    '/api/ledger/consistency',
    {
      schema: {
        description: 'Proof that the ledger of one size is the beginning of that of another.',
        querystring: z
          .strictObject({ from: Size.min(1), to: Size.min(1) })
          .refine(({ from, to }) => from <= to, { path: ['to'], error: 'must not be less than from' }),
        response: { 200: ConsistencyView },
      },
    },
    (request) => {
      const { from, to } = request.query;
      const { tree } = ledger;
      if (to > tree.size) throw new CodedError('not-found', `the ledger has ${tree.size} leaves, not ${to}`);
      const hex = (bytes: Uint8Array) => Buffer.from(bytes).toString('hex');
      return { from, fromRoot: hex(tree.root(from)), to, toRoot: hex(tree.root(to)), proof: tree.consistency(from, to).map(hex) };
    },
  );

  api.get(
    '/api/ledger/key',
    {
      schema: {
        description: 'The public key that checkpoints are signed with, in PEM.',
        produces: ['text/plain'],
        response: { 200: z.string() },
      },
    },
    (_request, reply) => plainText(reply, spkiPem(live.publicKey)),
  );
}

function leafView({ seq, hash, kind, body }: Leaf): LeafView {
  if (kind === 'block') return { seq, hash, kind, block: Buffer.from(body).toString('base64') };
  return { seq, hash, kind, entry: JSON.parse(new TextDecoder('utf-8', { fatal: true }).decode(body)) };
}

/** A string as it is, and not as JSON. */
function plainText<Reply extends { type(mime: string): Reply; serializer(write: (text: unknown) => string): Reply }>(
  reply: Reply,
  text: string,
): string {
  reply.type('text/plain; charset=utf-8').serializer(String);
  return text;
}
