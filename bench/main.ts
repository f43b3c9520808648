/**
 * `npm run bench`: speed, as ratios against a reference taken in the same run. Never part of the tests.
 * `npm run bench -- matrix database` measures these parts only.
 */
type Line = { readonly name: string; readonly text: string };
type Part = readonly [title: string, load: () => Promise<() => Promise<readonly Line[]>>];

const PARTS: Readonly<Record<string, Part>> = {
  analysis: [
    'Analysis, against the bare transform',
    async () => (await import('./analysis.js')).analysisBench,
  ],
  scipy: ['Analysis, against scipy', async () => (await import('./analysis-peer.js')).peerBench],
  twins: ['Twins, seconds of signal per second', async () => (await import('./twins.js')).twinBench],
  start: ['Start, against a bare node', async () => (await import('./start.js')).startBench],
  ceilings: ['Ceilings, against a fixed grid', async () => (await import('./ceilings.js')).ceilingBench],
  matrix: ['Matrix on eight channels', async () => (await import('./matrix.js')).matrixBench],
  climb: ['Climb on the sound path', async () => (await import('./climb.js')).climbBench],
  'long-run': ['Twelve hours of holds and rests', async () => (await import('./long-run.js')).longRunBench],
  'time-left': [
    'Time left, from the first tenth on',
    async () => (await import('./time-left.js')).timeLeftBench,
  ],
  report: ['Report, against the record as JSON', async () => (await import('./report.js')).reportBench],
  database: [
    'A large database, against a bare node',
    async () => (await import('./database.js')).databaseBench,
  ],
};

const asked = process.argv.slice(2);
const unknown = asked.find((name) => !Object.hasOwn(PARTS, name));
if (unknown !== undefined) {
  console.error(`bench: there is no part '${unknown}'; there are ${Object.keys(PARTS).join(', ')}`);
  process.exit(2);
}
for (const [name, [title, load]] of Object.entries(PARTS)) {
  if (asked.length > 0 && !asked.includes(name)) continue;
  console.log(`\n${title}`);
  const measure = await load();
  for (const line of await measure()) console.log(`  ${line.name.padEnd(44)} ${line.text}`);
}
