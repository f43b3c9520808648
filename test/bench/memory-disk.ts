import { basename, dirname } from 'node:path';
import { readBench } from '../../src/bench/bench-file.js';
import type { BenchSetup } from '../../src/bench/bench-setup.js';
import type { Files } from '../../src/bench/files.js';
import { DocumentError } from '../../src/schema/document-error.js';

/** A disk that holds just these files. */
export const memoryDisk = (files: Readonly<Record<string, string>>): Files => ({
  exists: (path) => path in files,
  read: (path) => files[path] ?? '',
  list: (folder) =>
    Object.keys(files)
      .filter((path) => dirname(path) === folder)
      .map((path) => basename(path)),
});

const TWIN = { '/b/twins/t.yaml': 'twin: t' };

/** The parts of a channel of which nothing is stated; any can be replaced. */
export interface Parts {
  readonly output?: string;
  readonly input?: string;
  readonly attenuator?: string;
  readonly load?: string;
  /** Further lines: `current: {...}`. */
  readonly more?: readonly string[];
  /** Further keys of the interface. */
  readonly link?: string;
  /** Further lines at the top. */
  readonly top?: readonly string[];
}

/** A one-channel simulated bench at /b/bench.yaml on the first of March, with these other files beside it. */
export function smallBench(
  parts: Parts,
  files: Readonly<Record<string, string>> = {},
  day = '2026-03-01',
): BenchSetup {
  const lines = [
    'name: n',
    `interface: {kind: simulated, twin: t, rate: 48 kHz${parts.link ?? ''}}`,
    ...(parts.top ?? []),
    'channels:',
    `  - output: ${parts.output ?? '{full_scale: 2 V rms}'}`,
    `    input: ${parts.input ?? '{full_scale: 2 V peak}'}`,
    `    attenuator: ${parts.attenuator ?? '{ratio: 20}'}`,
    `    load: ${parts.load ?? '{nominal: 8 ohm}'}`,
    ...(parts.more ?? []).map((line) => `    ${line}`),
  ];
  return readBench(lines.join('\n'), '/b/bench.yaml', memoryDisk({ ...TWIN, ...files }), day);
}

/** What `smallBench` complains about. */
export function smallComplaint(...given: Parameters<typeof smallBench>): string {
  try {
    smallBench(...given);
  } catch (error) {
    if (error instanceof DocumentError) return error.message;
    throw error;
  }
  throw new Error('the bench was accepted');
}
