import { execFileSync } from 'node:child_process';
import { existsSync, mkdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { AskedFile } from './asked.js';
import { root } from './root.js';

const home = join(root, 'scripts', 'mutants');
/** What is known of each file from one time to the next; git ignores it. */
const kept = join(root, 'tmp', 'mutants');

/** One change, as the report of Stryker tells it. Lines and columns count from 1. */
export interface Mutant {
  readonly status: string;
  readonly replacement?: string;
  readonly location: { readonly start: Place; readonly end: Place };
}

interface Place {
  readonly line: number;
  readonly column: number;
}

/** A file and what became of its mutants. */
export interface MutatedFile {
  readonly file: string;
  readonly source: string;
  readonly mutants: readonly Mutant[];
}

/** Installs Stryker beside this file unless what the lock file names is there: the project itself stays small. */
export function installStryker(): void {
  const installed = join(home, 'node_modules', '.package-lock.json');
  const lock = join(home, 'package-lock.json');
  if (existsSync(installed) && statSync(installed).mtimeMs >= statSync(lock).mtimeMs) return;
  execFileSync('npm', ['ci', '--prefix', home], { stdio: 'inherit' });
}

/**
 * Tries all mutants of one file that are not known from the time before. A file by itself costs one more run of the tests that
 * concern it, and what is interrupted loses one file.
 */
export function mutantsOf({ room, file }: AskedFile): MutatedFile {
  const place = join(kept, file);
  mkdirSync(place, { recursive: true });
  const config = join(place, 'config.json');
  const report = join(place, 'report.json');
  rmSync(report, { force: true });
  writeFileSync(config, JSON.stringify(options(file, place, report), null, 2));
  const stryker = join(home, 'node_modules', '@stryker-mutator', 'core', 'bin', 'stryker.js');
  execFileSync(process.execPath, [stryker, 'run', config], {
    cwd: root,
    stdio: 'inherit',
    env: { ...process.env, OHMEST_MUTANTS_ROOM: room },
  });
  // Of a file of types alone there is nothing to tell.
  if (!existsSync(report)) return { file, source: '', mutants: [] };
  const { files } = JSON.parse(readFileSync(report, 'utf8')) as {
    readonly files: Readonly<Record<string, Omit<MutatedFile, 'file'>>>;
  };
  return { file, ...(files[file] ?? { source: '', mutants: [] }) };
}

const options = (file: string, place: string, fileName: string) => ({
  mutate: [file],
  testRunner: 'vitest',
  plugins: ['@stryker-mutator/vitest-runner'],
  vitest: { configFile: 'scripts/mutants/vitest.config.ts' },
  // Messages and tables of words: tests that held them to the letter would only repeat them.
  mutator: { excludedMutations: ['StringLiteral', 'ObjectLiteral'] },
  coverageAnalysis: 'perTest',
  incremental: true,
  incrementalFile: join(place, 'incremental.json'),
  reporters: ['json', 'progress-append-only'],
  jsonReporter: { fileName },
  allowConsoleColors: false,
  tempDirName: 'tmp/mutants/sandbox',
  cleanTempDir: 'always',
  ignorePatterns: ['/tmp', '/dist', '/docs/pictures'],
  allowEmpty: true,
  concurrency: 2,
  // An endless loop is found by counting; time is for what hangs otherwise, and costs as much each time.
  timeoutMS: 10_000,
  timeoutFactor: 1.5,
  dryRunTimeoutMinutes: 30,
  // Both would load TypeScript as a library, which it no longer is from version 7 on; vitest checks no types.
  disableTypeChecks: false,
  tsconfigFile: 'none',
});
