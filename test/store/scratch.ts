import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach } from 'vitest';
import type { OhmestError } from '../../src/errors/ohmest-error.js';

const folders: string[] = [];

afterEach(() => {
  for (const folder of folders.splice(0)) rmSync(folder, { recursive: true, force: true });
});

/** An empty folder of this test's own, removed after it. */
export function scratchFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), 'ohmest-store-'));
  folders.push(folder);
  return folder;
}

/** A path in an empty folder, for a database that is not there yet. */
export const scratchFile = (): string => join(scratchFolder(), 'runs.db');

/** What `work` throws; fails the test when it throws nothing. */
export function thrownBy(work: () => unknown): OhmestError {
  try {
    work();
  } catch (error) {
    return error as OhmestError;
  }
  throw new Error('nothing was thrown');
}

/**
 * Runs `work` without the rights of the superuser, whom no permission stops: tests of permissions would
 * prove nothing when they run as root.
 */
export function asOrdinaryUser<T>(work: () => T): T {
  if (process.geteuid?.() !== 0) return work();
  process.seteuid?.(65534);
  try {
    return work();
  } finally {
    process.seteuid?.(0);
  }
}
