import { open } from 'node:fs/promises';
import { type CsvReadings, readingsIn, UnreadableFile } from '../intake/csv.ts';

/**
 * Reads a file of temperatures as it streams by; see `readingsIn`.
 *
 * @throws UnreadableFile when the file is missing, empty, no CSV, or its first line does not name the columns.
 */
export async function readCsv(file: string): Promise<CsvReadings> {
  const handle = await open(file).catch((fault: NodeJS.ErrnoException) => {
    throw new UnreadableFile(fault.code === 'ENOENT' ? `there is no file ${file}` : `${file} cannot be read: ${fault.message}`);
  });
  return readingsIn(handle.createReadStream(), file);
}
