/** Same pattern as `Id` in edge/site/entries.ts, without the schema library: every message passes here. A test holds the two in step. */
const ID = /^[A-Za-z0-9][A-Za-z0-9._-]{0,63}$/;

/** Whether `text` may stand for a site, sump, joint or probe: no blanks, no slashes, no MQTT wildcards, at most 64 characters. */
export function isId(text: string): boolean {
  return ID.test(text);
}

export type ProbeLeaf = 'senml' | 'status';

export interface ProbeTopic {
  readonly probe: string;
  readonly leaf: ProbeLeaf;
}

/** Reads `cure/{site}/probe/{probe}/senml` and `…/status` of the one `site`; null for every other topic. */
export function parseProbeTopic(topic: string, site: string): ProbeTopic | null {
  const prefix = `cure/${site}/probe/`;
  if (!topic.startsWith(prefix)) return null;
  const slash = topic.indexOf('/', prefix.length);
  if (slash < 0) return null;
  const probe = topic.slice(prefix.length, slash);
  const leaf = topic.slice(slash + 1);
  if (!isId(probe) || (leaf !== 'senml' && leaf !== 'status')) return null;
  return { probe, leaf };
}

/** Where a probe speaks: its readings (`senml`) or its presence (`status`). Throws on anything that is not an id. */
export function probeTopic(site: string, probe: string, leaf: ProbeLeaf): string {
  return `cure/${mustBeId(site)}/probe/${mustBeId(probe)}/${leaf}`;
}

/** Where the state of a joint or sump is published. Throws on anything that is not an id. */
export function stateTopic(site: string, what: 'joint' | 'sump', id: string): string {
  return `cure/${mustBeId(site)}/${what}/${mustBeId(id)}/state`;
}

/** Where forecasts come in. Throws on anything that is not an id. */
export function forecastTopic(site: string): string {
  return `cure/${mustBeId(site)}/forecast`;
}

/** Where a warning about a joint, sump or probe is published while it lasts. Throws on anything that is not an id. */
export function warningTopic(site: string, owner: string, code: string): string {
  return `cure/${mustBeId(site)}/warning/${mustBeId(owner)}/${mustBeId(code)}`;
}

// A slash or wildcard in an id would speak in another's name, so building such a topic is a fault of the caller.
function mustBeId(text: string): string {
  if (!isId(text))
    throw new RangeError(`"${text}" cannot stand in a topic: use letters, digits, dots, hyphens and underscores, at most 64`);
  return text;
}
