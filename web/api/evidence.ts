/** A joint whose evidence can be handed out. */
export interface EvidenceJoint {
  readonly joint: string;
  readonly label: string;
  readonly sump: string;
  readonly sumpLabel: string;
  readonly serial: string | null;
  readonly phase: string;
  readonly laidUpAt: string | null;
  readonly lots: readonly string[];
  readonly people: readonly string[];
  readonly findings: { readonly open: number; readonly decided: number };
  readonly sealedAt: string | null;
}

/** What `GET /api/evidence` answers. */
export interface EvidenceFound {
  /** Of all that match, also those that are not listed. */
  readonly total: number;
  readonly joints: readonly EvidenceJoint[];
}

/** What `GET /api/lots/{lot}/recall` answers. */
export interface LotRecall {
  readonly lot: string;
  readonly label: string | null;
  readonly joints: readonly (EvidenceJoint & {
    readonly uses: readonly {
      readonly as: 'resin' | 'catalyst';
      readonly at: string;
      readonly by: string;
      /** Of an attempt that was done again since: false. */
      readonly present: boolean;
    }[];
  })[];
}

/** What can be looked for, each by a parameter of its own. */
export const SEARCHED = ['q', 'serial', 'sump', 'joint', 'lot', 'person', 'finding', 'from', 'to'] as const;
export type Searched = (typeof SEARCHED)[number];

/** So many joints go into one packet. */
export const PACKET_JOINTS_MOST = 100;

/** Of the report. */
export type Paper = 'letter' | 'a4';

const ofJoint = (joint: string) => `/api/joints/${encodeURIComponent(joint)}/evidence`;

export const bundleOf = (joint: string, paper: Paper = 'letter') => `${ofJoint(joint)}.zip?paper=${paper}`;
export const reportOf = (joint: string, paper: Paper) => `${ofJoint(joint)}.pdf?paper=${paper}`;
export const readingsOf = (joint: string) => `${ofJoint(joint)}.csv`;
export const sumpBundleOf = (sump: string, paper: Paper) => `/api/sumps/${encodeURIComponent(sump)}/evidence.zip?paper=${paper}`;

export function packetOf(joints: readonly string[], paper: Paper): string {
  return `/api/evidence.zip?${new URLSearchParams([...joints.map((joint) => ['joint', joint]), ['paper', paper]])}`;
}

export const recallOf = (lot: string) => `/api/lots/${encodeURIComponent(lot)}/recall`;
