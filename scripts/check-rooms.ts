/** Checks that rooms of src/ import only from rooms below them. Prints every breach; exit status 1 when there is one. */
import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, normalize, relative, sep } from 'node:path';

/** From roof to ground. A room may use any room after it in this list, less what `APART` takes away. */
const ROOMS = [
  'cli',
  'view',
  'report',
  'rating',
  'calibrator',
  'runner',
  'store',
  'bundle',
  'record',
  'safety',
  'bench',
  'sequence',
  'calibration',
  'measure',
  'stimulus',
  'wav',
  'schema',
  'units',
  'errors',
] as const;

/** Rooms that must not know each other although the order would let them. */
const APART: Readonly<Record<string, readonly string[]>> = {
  // A page or a picture is drawn from what it is given; where that comes from is the roof's business.
  view: ['calibrator', 'store', 'bench', 'stimulus', 'wav'],
  bundle: ['safety', 'bench', 'stimulus'],
  // The runner decides and yields events; who stores or draws them is not its business.
  // The calibrator plays and asks; where its records are kept and how they are printed is not its business.
  calibrator: ['store', 'wav'],
  runner: ['store', 'wav', 'schema'],
  rating: ['calibrator', 'runner', 'store', 'safety', 'bench', 'sequence', 'stimulus', 'wav'],
  report: ['calibrator', 'runner', 'store', 'bench'],
  measure: ['stimulus', 'wav', 'schema'],
};

/** Rooms that do no input or output: no node: module, no process, no console. */
const PURE = ['rating', 'record', 'measure', 'stimulus', 'wav', 'units', 'errors'];

/** The runner sees a bench through its interface only. */
const RUNNER_SEES_OF_BENCH = ['bench/bench.ts', 'bench/bench-setup.ts', 'bench/probe.ts'];

const root = join(import.meta.dirname, '..', 'src');

function sources(folder: string): string[] {
  return readdirSync(folder, { recursive: true, encoding: 'utf8' })
    .filter((name) => name.endsWith('.ts'))
    .map((name) => join(folder, name));
}

function breach(file: string, specifier: string): string | null {
  const from = relative(root, file).split(sep);
  const room = from[0] ?? '';
  if (!specifier.startsWith('.')) {
    return PURE.includes(room) && specifier.startsWith('node:')
      ? `${room} does no I/O but imports ${specifier}`
      : null;
  }
  const target = relative(root, normalize(join(dirname(file), specifier))).replace(/\.js$/, '.ts');
  const to = target.split(sep);
  const other = to[0] ?? '';
  if (other === room) {
    const wing = from.length > 2 ? from[1] : null;
    const otherWing = to.length > 2 ? to[1] : null;
    const apart = room === 'bench' && wing && otherWing && wing !== otherWing;
    return apart ? `bench/${wing} may not know bench/${otherWing}` : null;
  }
  const here = ROOMS.indexOf(room as (typeof ROOMS)[number]);
  const there = ROOMS.indexOf(other as (typeof ROOMS)[number]);
  if (here < 0 || there < 0) return `${here < 0 ? room : other} is no room of the house plan`;
  if (there < here) return `${room} may not import from ${other}, which lies above it`;
  if (APART[room]?.includes(other)) return `${room} may not know ${other}`;
  if (room === 'runner' && other === 'bench' && !RUNNER_SEES_OF_BENCH.includes(to.join('/')))
    return `runner may not know ${to.join('/')}`;
  return null;
}

const breaches = sources(root).flatMap((file) => {
  const text = readFileSync(file, 'utf8');
  const specifiers = [...text.matchAll(/(?:from|import)\s*\(?\s*'([^']+)'/g)].map((match) => match[1] ?? '');
  return specifiers
    .map((specifier) => breach(file, specifier))
    .filter((message) => message !== null)
    .map((message) => `${relative(root, file)}: ${message}`);
});

for (const line of breaches) console.error(line);
console.log(
  breaches.length === 0 ? 'rooms: every import points downwards' : `rooms: ${breaches.length} breaches`,
);
process.exitCode = breaches.length === 0 ? 0 : 1;
