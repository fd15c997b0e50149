import { join } from 'node:path';
import { defineConfig } from 'vitest/config';

// Tests run on the Node that the project carries, whatever Node started them: the machine's own may be too old to open a ledger.
process.execPath = join(import.meta.dirname, 'node_modules', '.bin', 'node');

export default defineConfig({
  test: {
    include: ['tests/**/*.test.ts'],
    pool: 'forks',
    maxWorkers: 2,
    // Real brokers, disks and processes on a busy machine: generous, so that only a real hang fails a test.
    testTimeout: 30_000,
    hookTimeout: 30_000,
  },
});
