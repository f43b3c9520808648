/**
 * Checks that rooms of src/ import only from rooms below them, and that no files import each other in a circle, not even
 * for their types. Prints every breach; exit status 1 when there is one.
 */
import { spawnSync } from 'node:child_process';
import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, normalize, relative, sep } from 'node:path';

/** From roof to ground. A room may use any room after it in this list, less what `APART` takes away. */
const ROOMS = [
  'cli',
  'view',
  'document',
  'judgement',
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
  'signal',
  'schema',
  'units',
  'errors',
  'files',
] as const;

/** Rooms that must not know each other although the order would let them. */
const APART: Readonly<Record<string, readonly string[]>> = {
  // A page or a picture is drawn from what it is given; where that comes from is the roof's business.
  view: ['calibrator', 'store', 'bench', 'signal'],
  bundle: ['safety', 'bench'],
  // The runner decides and yields events; who stores or draws them is not its business.
  // The calibrator plays and asks; where its records are kept and how they are printed is not its business.
  calibrator: ['store'],
  runner: ['store', 'schema'],
  judgement: ['calibrator', 'runner', 'store', 'safety', 'bench', 'sequence', 'signal'],
  document: ['calibrator', 'runner', 'store'],
  measure: ['signal', 'schema'],
};

/** Rooms that do no input or output: no node: module, no process, no console. */
const PURE = ['judgement', 'record', 'measure', 'signal', 'units', 'errors'];

/** The runner sees a bench through its interface only, and the faults that any bench may have. */
const RUNNER_SEES_OF_BENCH = [
  'bench/bench.ts',
  'bench/bench-errors.ts',
  'bench/bench-setup.ts',
  'bench/sensor.ts',
];

/** A document names the kind of bench that a run was made on, and knows nothing else of it. */
const DOCUMENT_SEES_OF_BENCH = ['bench/kinds.ts'];

/** A step kind has one folder with files for three floors, told apart by their names. */
const floorOf = (path: readonly string[]): string => {
  if (path[0] !== 'steps') return path[0] ?? '';
  const name = path.at(-1) ?? '';
  if (/^plan[-.s]/.test(name)) return 'sequence';
  return /^show[-.s]/.test(name) ? 'document' : 'runner';
};

/** What opens a file by its name. A pipe or a device would keep it waiting: all but these go by `files/`. */
const OPENERS = /\b(?:openSync|readFileSync|createReadStream|createWriteStream|readFile)\b/;
const OPEN_THEMSELVES = [
  // Files of our own, or new ones under names of our own.
  'bundle/write-bundle.ts',
  'cli/terminal/own-version.ts',
  'store/sqlite/require-store-place.ts',
  'view/live/client-code.ts',
  // The answer of a program, looked at before and read within its time.
  'bench/command/read-response.ts',
  // A pipe that the shell has opened for a command.
  'cli/terminal/user-file.ts',
];

const opensItself = (file: string): boolean => {
  const name = relative(root, file).split(sep).join('/');
  if (name.startsWith('files/') || OPEN_THEMSELVES.includes(name)) return false;
  const imports = readFileSync(file, 'utf8').match(/import \{[^}]*\} from 'node:fs(?:\/promises)?'/g) ?? [];
  return OPENERS.test(imports.join());
};

const root = join(import.meta.dirname, '..', 'src');

function sources(folder: string): string[] {
  return readdirSync(folder, { recursive: true, encoding: 'utf8' })
    .filter((name) => name.endsWith('.ts'))
    .map((name) => join(folder, name));
}

function breach(file: string, specifier: string): string | null {
  const from = relative(root, file).split(sep);
  const room = floorOf(from);
  if (!specifier.startsWith('.')) {
    return PURE.includes(room) && specifier.startsWith('node:')
      ? `${room} does no I/O but imports ${specifier}`
      : null;
  }
  const target = relative(root, normalize(join(dirname(file), specifier))).replace(/\.js$/, '.ts');
  const to = target.split(sep);
  const other = floorOf(to);
  if (other === room) {
    const wing = from.length > 2 ? from[1] : null;
    const otherWing = to.length > 2 ? to[1] : null;
    const apart = wing !== otherWing && wing && otherWing && (room === 'bench' || from[0] === 'steps');
    return apart && from[0] === to[0] ? `${from[0]}/${wing} may not know ${to[0]}/${otherWing}` : null;
  }
  const here = ROOMS.indexOf(room as (typeof ROOMS)[number]);
  const there = ROOMS.indexOf(other as (typeof ROOMS)[number]);
  if (here < 0 || there < 0) return `${here < 0 ? room : other} is no room of the house plan`;
  if (there < here) return `${room} may not import from ${other}, which lies above it`;
  if (APART[room]?.includes(other)) return `${room} may not know ${other}`;
  if (room === 'runner' && other === 'bench' && !RUNNER_SEES_OF_BENCH.includes(to.join('/')))
    return `runner may not know ${to.join('/')}`;
  if (room === 'document' && other === 'bench' && !DOCUMENT_SEES_OF_BENCH.includes(to.join('/')))
    return `document may not know ${to.join('/')}`;
  return null;
}

/** Every file with the files that it imports, types included, relative to the root. */
function importGraph(files: readonly string[]): Map<string, string[]> {
  return new Map(
    files.map((file) => {
      const targets = specifiersIn(file)
        .filter((specifier) => specifier.startsWith('.'))
        .map((specifier) =>
          relative(root, normalize(join(dirname(file), specifier))).replace(/\.js$/, '.ts'),
        );
      return [relative(root, file), targets];
    }),
  );
}

/** One circle for every group of files that import each other, in the order of imports. */
function circles(graph: ReadonlyMap<string, readonly string[]>): string[] {
  const found: string[] = [];
  const done = new Set<string>();
  const visit = (file: string, path: readonly string[]): void => {
    const at = path.indexOf(file);
    if (at >= 0) found.push([...path.slice(at), file].join(' -> '));
    if (at >= 0 || done.has(file)) return;
    for (const next of graph.get(file) ?? []) visit(next, [...path, file]);
    done.add(file);
  };
  for (const file of graph.keys()) visit(file, []);
  return found;
}

function specifiersIn(file: string): string[] {
  const text = readFileSync(file, 'utf8');
  return [...text.matchAll(/(?:from|import)\s*\(?\s*'([^']+)'/g)].map((match) => match[1] ?? '');
}

const files = sources(root);
const breaches = [
  ...files
    .filter(opensItself)
    .map((file) => `${relative(root, file)}: opens a file by itself; use files/open-regular.ts`),
  ...files.flatMap((file) =>
    specifiersIn(file)
      .map((specifier) => breach(file, specifier))
      .filter((message) => message !== null)
      .map((message) => `${relative(root, file)}: ${message}`),
  ),
  ...circles(importGraph(files)).map((circle) => `a circle: ${circle}`),
];

/** A link in place of an ignored folder, once tracked, replaces that folder wherever it is checked out. Without git: none. */
function ignoredButTracked(): string[] {
  const { status, stdout } = spawnSync('git', ['ls-files', '-ci', '--exclude-standard', ':/'], {
    ...{ cwd: import.meta.dirname, encoding: 'utf8' },
  });
  return status === 0 ? stdout.split('\n').filter((file) => file !== '') : [];
}

for (const file of ignoredButTracked())
  breaches.push(`${file}: tracked although .gitignore names it; git rm --cached ${file}`);
for (const line of breaches) console.error(line);
console.log(
  breaches.length === 0
    ? 'rooms: every import points downwards, and none goes in a circle'
    : `rooms: ${breaches.length} breaches`,
);
process.exitCode = breaches.length === 0 ? 0 : 1;
