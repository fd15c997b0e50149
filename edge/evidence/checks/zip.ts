import { readZip, ZIP_LIMITS, type ZipLimits, type ZippedFile } from '../zip.ts';
import { failed, type Looked, passed } from './looked.ts';

/** The file is one ZIP, whole, with nothing around it. */
export function lookAtZip(bytes: Uint8Array, limits: ZipLimits = ZIP_LIMITS): Looked<readonly ZippedFile[]> {
  const read = readZip(bytes, limits);
  if ('files' in read)
    return passed(read.files, `${read.files.length} files, packed one after the other and nothing beside them.`);
  const { file, detail } = read.fault;
  return failed(
    file === null ? `The ZIP ${detail}.` : `In the ZIP, ${file} ${detail}.`,
    'This is not a whole bundle as it was handed out: it was cut, damaged or changed on its way. Ask for it again.',
  );
}
