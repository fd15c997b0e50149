import type { Bag } from '../bagit.ts';
import { BUNDLE, Bundle, FILES, FORMAT, folderOf, isDerivedFile, VERSION } from '../bundle.ts';
import { parseStrict } from '../strictJson.ts';
import { textOfUtf8 } from '../utf8.ts';
import { failed, type Looked, passed } from './looked.ts';

const FOREIGN =
  'This program does not know how to judge it. Use the program, or the version of it, that the bundle was made with.';
const UNSOUND = 'The bundle is not what its site made. Do not rely on it; ask for it again.';

/** It is a bundle of a format that is known here, about what its name says, with the files of that format and no others. */
export function lookAtFormat({ folder, payload }: Bag): Looked<Bundle> {
  const text = textOfUtf8(payload.get(BUNDLE) ?? new Uint8Array(0));
  if (text === null || text === '') return failed(`${BUNDLE} is missing, empty or no text.`, FOREIGN);
  let said: unknown;
  try {
    said = parseStrict(text);
  } catch (fault) {
    return failed(`${BUNDLE}: ${(fault as Error).message}.`, UNSOUND);
  }
  const { format, version } = (typeof said === 'object' && said !== null ? said : {}) as Record<string, unknown>;
  if (format !== FORMAT) return failed(`${BUNDLE} does not say that this is a ${FORMAT}.`, FOREIGN);
  if (version !== VERSION)
    return failed(`The bundle is of format version ${JSON.stringify(version)}; this program knows version ${VERSION}.`, FOREIGN);
  const read = Bundle.safeParse(said);
  if (!read.success) {
    const [issue] = read.error.issues;
    return failed(`${BUNDLE} at ${issue?.path.join('.') || 'its top'}: ${issue?.message}.`, UNSOUND);
  }
  const bundle = read.data;
  const expected = folderOf(bundle.site, bundle.subject);
  if (folder !== expected) return failed(`Its folder is named ${folder}; by its contents it would be ${expected}.`, UNSOUND);
  for (const name of FILES) if (!payload.has(name)) return failed(`${name} is missing.`, UNSOUND);
  for (const name of payload.keys())
    if (!FILES.includes(name) && !isDerivedFile(name)) return failed(`${name} does not belong into such a bundle.`, UNSOUND);
  return passed(bundle, `A ${FORMAT} of version ${VERSION}, with all its files and no others.`);
}
