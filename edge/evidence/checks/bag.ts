import { type Bag, readBag } from '../bagit.ts';
import type { ZippedFile } from '../zip.ts';
import { failed, type Looked, passed } from './looked.ts';

/** Every file is there and is as it was packed. */
export function lookAtBag(files: readonly ZippedFile[]): Looked<Bag> {
  const read = readBag(files);
  if ('bag' in read)
    return passed(
      read.bag,
      `All ${files.length} files are there, none beside them, each with the SHA-256 that its list says. The lists are not signed: guide, report and page are for reading only, and what counts is what is recomputed below.`,
    );
  const { file, detail } = read.fault;
  return failed(
    file === null ? `The bundle ${detail}.` : `${file} ${detail}.`,
    'A file was changed, added or taken out after the bundle was packed. Do not rely on it; ask for the bundle again.',
  );
}
