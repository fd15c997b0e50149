import type { Entry } from '../entries.ts';
import { type SiteState, type Subject, standing } from './site.ts';

type WarningRaised = Extract<Entry, { kind: 'warning.raised' }>;
export type AboutWarning = Extract<Entry, { kind: 'warning.acknowledged' | 'warning.snoozed' }>;

/** A warning that was raised and has not ended. */
export interface Warning extends Subject<AboutWarning> {
  readonly warning: string;
  readonly code: WarningRaised['code'];
  /** Joint, sump or probe that it is about. */
  readonly owner: string;
  /** Whole numbers, the unit in each name: as they were when it was raised. */
  readonly numbers: Readonly<Record<string, number>>;
  readonly raisedMs: number;
  /** Who saw it last. */
  acknowledged: { readonly by: string; readonly atMs: number } | null;
  /** The newest word on when it shall come back. */
  snoozed: { readonly by: string; readonly untilMs: number } | null;
}

export function newWarning({ warning, code, owner, numbers, recordedAt }: WarningRaised): Warning {
  return {
    said: new Map(),
    withdrawals: new Map(),
    warning,
    code,
    owner,
    numbers,
    raisedMs: Date.parse(recordedAt),
    acknowledged: null,
    snoozed: null,
  };
}

/** Works out anew who saw a warning and who put it off, from all that was said about it and not taken back. */
export function deriveWarning(warning: Warning): void {
  warning.acknowledged = null;
  warning.snoozed = null;
  for (const { entry, atMs, by } of standing(warning)) {
    if (entry.kind === 'warning.acknowledged') warning.acknowledged = { by: by.name, atMs };
    else warning.snoozed = { by: by.name, untilMs: Date.parse(entry.until) };
  }
}

/** It leaves, and nothing that was said about it can be taken back any more. */
export function endWarning(site: SiteState, name: string): void {
  for (const seq of site.warnings.get(name)?.said.keys() ?? []) site.rederive.delete(seq);
  site.warnings.delete(name);
}
