import { join } from 'node:path';
import { DatabaseSync } from 'node:sqlite';

/**
 * Claims a data folder for this process until the returned function is called or the process ends, however it ends: the claim is
 * a lock that the operating system takes back. Two services on one ledger would each know only half of it.
 * @throws Error when another process has it.
 */
export function claimFolder(folder: string): () => void {
  const database = new DatabaseSync(join(folder, 'claim.db'));
  try {
    database.exec('PRAGMA busy_timeout = 0; BEGIN EXCLUSIVE');
  } catch (fault) {
    database.close();
    const taken = (fault as { errcode?: number }).errcode === 5;
    throw taken
      ? new Error(`another Warmhours runs on the folder ${folder}; stop it first, or choose another WARMHOURS_DATA`)
      : fault;
  }
  return () => database.close();
}
