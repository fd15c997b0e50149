/** A value in a JSON document and the pointer (RFC 6901) that leads to it. */
export interface Place {
  readonly pointer: string;
  /** As the document has it; text where it is text. */
  readonly value: number | string;
}

/** A device's message has dozens of values, not thousands; beyond so many the list says nothing to anybody. */
const PLACES_MOST = 200;
const DEPTH_MOST = 12;

/** RFC 6901 section 4: in a token `~` is written `~0` and `/` is written `~1`. */
const token = (name: string) => name.replaceAll('~', '~0').replaceAll('/', '~1');

/** Every number and text of a JSON text with its pointer, in the order of the text; null for what is no JSON. */
export function placesIn(json: string): Place[] | null {
  let document: unknown;
  try {
    document = JSON.parse(json);
  } catch {
    return null;
  }
  const places: Place[] = [];
  const walk = (value: unknown, pointer: string, depth: number) => {
    if (places.length >= PLACES_MOST || depth > DEPTH_MOST) return;
    if (typeof value === 'number' || typeof value === 'string') places.push({ pointer, value });
    else if (typeof value === 'object' && value !== null)
      for (const [name, inside] of Object.entries(value)) walk(inside, `${pointer}/${token(name)}`, depth + 1);
  };
  walk(document, '', 0);
  return places;
}
