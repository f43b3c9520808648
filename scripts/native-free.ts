/**
 * The tests of the groups core and long that need no native module: they can run on versions of Node for which better-sqlite3 and naudiodon
 * cannot be built. A test needs one when it imports it, through however many files, or when it starts the program
 * with a command that opens a database.
 */
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { dirname, join, relative } from 'node:path';

const NATIVE = ['better-sqlite3', 'naudiodon'];
const WITH_DATABASE = [
  'browse',
  'bundle',
  'compare',
  'demo',
  'devices',
  'export',
  'import',
  'permit',
  'permits',
  'report',
  'resume',
  'run',
  'runs',
  'show',
];
const GROUPS_OF_THEIR_OWN = ['peers', 'audio', 'browser'];

const root = join(import.meta.dirname, '..');
const tests = join(root, 'test');
const IMPORTS = /(?:from|import)\s*\(?\s*'([^']+)'/g;
const OPENS = new RegExp(`['"\`](?:${WITH_DATABASE.join('|')})['" ]`);
/** Tests that follow the commands of pages, which open databases. */
const FOLLOWS = /walkThrough\(/;
/** Files that start the compiled program. */
const STARTS = /dist\/cli\/main\.js/;

const known = new Map<string, boolean>();

/** Whether a file comes to a native module by its imports. Types are erased before anything runs. */
function reaches(file: string): boolean {
  const before = known.get(file);
  if (before !== undefined) return before;
  known.set(file, false);
  const found = specifiers(file).some((name) => NATIVE.includes(name) || reachesThrough(file, name));
  known.set(file, found);
  return found;
}

function reachesThrough(from: string, name: string): boolean {
  if (!name.startsWith('.')) return false;
  const target = join(dirname(from), name);
  const source = [target, target.replace(/\.js$/, '.ts')].find((path) => existsSync(path));
  return source?.endsWith('.ts') === true && reaches(source);
}

function specifiers(file: string): string[] {
  const code = readFileSync(file, 'utf8').replace(/^(?:import|export) type [^;]*;/gm, '');
  return [...code.matchAll(IMPORTS)].map((match) => match[1]!);
}

function startsWithDatabase(file: string): boolean {
  const text = readFileSync(file, 'utf8');
  const starts = [file, ...specifiers(file).map((name) => join(dirname(file), name.replace(/\.js$/, '.ts')))]
    .filter((path) => existsSync(path))
    .some((path) => STARTS.test(readFileSync(path, 'utf8')));
  return starts && (OPENS.test(text) || FOLLOWS.test(text));
}

/** Their paths from the root of the project, sorted. */
export function nativeFreeTests(): string[] {
  return readdirSync(tests, { recursive: true, encoding: 'utf8' })
    .filter((name) => name.endsWith('.test.ts') && !GROUPS_OF_THEIR_OWN.includes(name.split('/')[0]!))
    .map((name) => join(tests, name))
    .filter((file) => !reaches(file) && !startsWithDatabase(file))
    .map((file) => relative(root, file))
    .sort();
}
