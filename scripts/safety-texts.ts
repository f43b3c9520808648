/**
 * Writes docs/safety-texts.md: every safety text, who reads it and when. The texts come from the program itself, with the
 * figures of an example; a test holds the page to them.
 */
import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { readBench } from '../src/bench/bench-file.js';
import type { CommandInterface } from '../src/bench/bench-setup.js';
import { claimedPowers } from '../src/cli/run/given-claims.js';
import { armedTrips, tripDelayWords } from '../src/safety/armed-trips.js';
import { beforeConnecting, onConnections } from '../src/safety/checklist.js';
import { warmLoadWords } from '../src/safety/course-watch.js';
import { SUPPLY_QUESTION } from '../src/safety/fault-voltage.js';
import { hazards } from '../src/safety/hazards.js';
import { type About, causeFound, MAY_PROGRAMS_RUN, stillSo } from '../src/safety/question.js';
import { correction, firstSetUp, type SetUp, setUp } from '../src/safety/set-up.js';
import { TRIP_KINDS, type TripKind, tripOf } from '../src/safety/trip.js';
import { UNATTENDED_ITEMS } from '../src/safety/unattended.js';
import { makePlan } from '../src/sequence/make-plan.js';
import { isWired, planOf, type WiredStep } from '../src/sequence/plan.js';
import { readSequence } from '../src/sequence/sequence-file.js';

import { calibrationQuestions } from './calibration-questions.js';

const inProject = (name: string) => fileURLToPath(new URL(`../${name}`, import.meta.url));
const textOf = (name: string) => readFileSync(inProject(name), 'utf8');

/** Trips that concern no single channel. */
const OF_THE_BENCH: ReadonlySet<TripKind> = new Set(['energy', 'time']);

/** Two loads and two mains voltages, so that everything is changed once. */
const EXAMPLE = `name: Example
steps:
  - climb: {id: first, frequency: 1 kHz, load: 8 ohm}
  - climb: {id: second, frequency: 1 kHz, load: 4 ohm}
  - climb: {id: third, frequency: 1 kHz, load: 4 ohm, mains: 230 V}
  - climb: {id: fourth, frequency: 1 kHz, load: 4 ohm}
`;

/** A program that is given whole records, as far as it matters for when a trip takes effect. */
const WHOLE_RECORDS: CommandInterface = { kind: 'command', argv: ['./device'], timeout_s: 10, block_s: null };

interface Part {
  readonly title: string;
  /** Who reads it, and when. */
  readonly read: string;
  readonly texts: readonly string[];
}

const AT_BENCH = 'The person at the bench, with real power';

/** Who reads a question, and when, for every subject that there is. */
const ASKED: Readonly<Record<About, { readonly title: string; readonly read: string }>> = {
  checklist: {
    title: 'Checklist: people, place and equipment',
    read: `${AT_BENCH}, at \`run\`, \`resume\` and \`permit\`, before anything is connected. Everybody who types \`plan\`.`,
  },
  'set-up': {
    title: 'First connection',
    read: `${AT_BENCH}, in this order: connect with the unit off, check, switch on. At \`permit\` when it is signed.`,
  },
  change: {
    title: 'Changes on the way',
    read: `${AT_BENCH}, before a step that needs another load, tap or mains voltage. The checks of the first connection that concern it follow, then the unit is switched on.`,
  },
  correction: {
    title: 'A wrong connection',
    read: `${AT_BENCH}, when the wiring check has found one. All checks of the connection follow, then the unit is switched on.`,
  },
  sequence: {
    title: 'Questions of the shipped sequences',
    read: `${AT_BENCH}, where the sequence asks.`,
  },
  resumption: {
    title: 'Resuming',
    read: `${AT_BENCH}, at \`resume\`, when the sequence had asked something before the interruption.`,
  },
  cause: { title: 'After a trip or a stop', read: `${AT_BENCH}, at \`resume\`.` },
  unattended: {
    title: 'Before the bench is left alone',
    read: 'The person who signs a permit, after everything above.',
  },
  programs: {
    title: 'Programs of a bench file',
    read: 'A person at a terminal, where the command does not name the bench file.',
  },
  calibration: {
    title: 'Calibration',
    read: 'The person at the bench, at `calibrate`, before the tones of each connection. They stand in the order output, input, attenuator, load, floor, response; the examples are for channel 1. No unit is connected. [calibration](../calibration/README.md) gives the connections.',
  },
};

async function partsOfPage(): Promise<Part[]> {
  const bench = readBench(textOf('benches/example-audio.yaml'), inProject('benches/example-audio.yaml'));
  const plan = makePlan(readSequence(EXAMPLE, 'example.yaml'), bench);
  const [first, second, third, fourth] = plan.steps.filter(isWired) as [
    WiredStep,
    WiredStep,
    WiredStep,
    WiredStep,
  ];
  const change = (to: WiredStep, from: WiredStep) => setUp(to, from, plan, bench)!.connect.text;
  const whole = ({ connect, checks, switchOn }: SetUp) =>
    [connect, ...checks, switchOn].map(({ text }) => text);
  const wrong = correction(['channel 1 is dead'], first, plan, bench);
  const bridged = onConnections([first], plan, {
    ...bench,
    unitSupply: { kind: 'split', outputs: 'bridged', rail_V: 50 },
  });
  const texts: Readonly<Record<About, readonly string[]>> = {
    checklist: [...beforeConnecting(plan).map(({ text }) => text), SUPPLY_QUESTION],
    'set-up': whole(firstSetUp(plan, bench)!),
    change: [change(second, first), change(third, second), change(fourth, third)],
    correction: [wrong.connect.text],
    sequence: questionsOfSequences(),
    resumption: [stillSo(['Is the volume at its mark?']).text],
    cause: [causeFound(12, 'tripped', tripOf('dc', 1, 3, 2).text).text],
    unattended: UNATTENDED_ITEMS.map(({ text }) => text),
    programs: [MAY_PROGRAMS_RUN.text],
    calibration: await calibrationQuestions(inProject('benches/stiff-pair.yaml')),
  };
  const asked = (Object.keys(ASKED) as About[]).map((about) => ({ ...ASKED[about], texts: texts[about] }));
  return [
    {
      title: 'Hazards',
      read: 'Everybody who types `plan`, `run`, `resume` or `permit`, on every bench, before the first question.',
      texts: hazards(plan, bench).map(({ text }) => text),
    },
    ...asked,
    {
      title: 'With a supply that the bench file states',
      read: `${AT_BENCH}: the same checks of the connection, here for a bridge on rails of 50 V.`,
      texts: bridged.map(({ text }) => text),
    },
    {
      title: 'What ends a run',
      read: 'Everybody who types `plan`; the person who signs a permit; readers of the live page.',
      texts: armedTrips(plan, bench),
    },
    {
      title: 'Trips that come late',
      read: 'Everybody who types `plan`, `run`, `resume` or `permit`, readers of the live page and of the report, on a bench whose program does not stream.',
      texts: tripDelayWords(plan, { ...bench, interface: WHOLE_RECORDS }),
    },
    {
      title: 'A load that gets hot',
      read: 'Whoever watches the run, once a load, at 90 % of its continuous rating; every reader of the report. The run continues. The figures are an example.',
      texts: [warmLoadWords(1, { nominal_ohm: 8, rating_W: 200 }, 180)],
    },
    {
      title: 'Trips',
      read: 'Whoever watches the run, when it has ended by a trip, and every reader of its report. The figures are examples.',
      texts: TRIP_KINDS.map((kind) => tripOf(kind, OF_THE_BENCH.has(kind) ? null : 1, 50, 40).text),
    },
  ];
}

/** Every question that a shipped sequence asks, once. */
function questionsOfSequences(): string[] {
  const bench = readBench(textOf('benches/stiff-pair.yaml'), inProject('benches/stiff-pair.yaml'));
  const names = readdirSync(inProject('sequences')).filter((name) => name.endsWith('.yaml'));
  const asked = names.flatMap((name) => {
    const read = readSequence(
      textOf(`sequences/${name}`).replaceAll('[8 ohm, 4 ohm]', '[8 ohm]'),
      `sequences/${name}`,
    );
    const { steps } = makePlan(read, bench, { claims: claimedPowers('50 W') });
    return steps.flatMap((step) => planOf(step).question(step)?.text ?? []);
  });
  return [...new Set(asked)];
}

/** The page, in Markdown. */
export async function safetyTextsPage(): Promise<string> {
  const parts = (await partsOfPage()).map(({ title, read, texts }) =>
    [
      `## ${title}`,
      '',
      `**Read by:** ${read}`,
      ...(texts.length === 0 ? [] : ['', ...texts.map((text) => `- ${text}`)]),
      '',
    ].join('\n'),
  );
  return `# Safety texts

Every safety text that ohmest shows or asks, who reads it and when. [SAFETY.md](../SAFETY.md) explains them.
The texts come from the program, with the figures of \`benches/example-audio.yaml\` and a climb into 8 and 4 ohm.
\`npm run safety-texts\` writes this page, and a test holds it to the program.

| command | shows or asks, in this order |
|---|---|
| \`plan\` | hazards, what ends a run, the checklist, the checks of the connections |
| \`run\` | hazards; with real power also the checklist, the first connection, then the questions of the sequence. A sequence may ask a question before the first connection |
| \`resume\` | as \`run\`. The cause of a trip or a stop comes after the checklist. What the sequence had asked before is confirmed again |
| \`permit\` | what ends a run, hazards, the checklist, the opening questions of the sequence, the first connection, before the bench is left alone |
| \`calibrate\` | the questions of the calibration |

The live page asks nothing. Beside "Stop the run" it says: "Not an emergency stop: for that, cut the mains of the unit."

${parts.join('\n')}`;
}

if (process.argv[1] === fileURLToPath(import.meta.url))
  writeFileSync(inProject('docs/safety-texts.md'), await safetyTextsPage());
