/**
 * Readings of an imported file are a series of their own beside what the probe sent: its name is the probe's id, `#`, and the
 * beginning of the file's SHA-256. No id has a `#`, so nothing that a device sends can get into it.
 */
const MARK = '#';
const DIGITS = 12;

/** Name of the series that a file is kept under. `sha256` is that of the file's bytes, in hex. */
export function sourceOf(probe: string, sha256: string): string {
  return `${probe}${MARK}${sha256.slice(0, DIGITS)}`;
}

/** The probe that a series belongs to; a probe's own series has its name. */
export function probeOfSource(name: string): string {
  const mark = name.indexOf(MARK);
  return mark < 0 ? name : name.slice(0, mark);
}

/** Whether a series came from a file. */
export function isImported(name: string): boolean {
  return name.includes(MARK);
}
