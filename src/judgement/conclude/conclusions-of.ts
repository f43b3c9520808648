import type { RunRecord } from '../../record/run-record.js';
import { type Asks, type Checks, purposeOf } from '../../schema/sequence-purpose.js';
import { checkItems, checkState, sightOf } from '../check/check.js';
import type { Ratings } from '../rating/rating.js';
import type { Verdict } from '../verdict/verdict.js';
import { askedLimit, askedOf } from './asked.js';
import { endedEarly } from './conclude-end.js';
import { powerConclusions } from './conclude-power.js';
import { warningsOf } from './conclude-warnings.js';
import type { Conclusion, ConclusionCode, Role } from './conclusion.js';
import { type ConclusionGround, conclude, groundOf } from './conclusion-ground.js';
import { contradictions } from './contradictions.js';

/** Limits of a check where the sequence states none: common practice, no source. */
const COMMON_CHECKS: Checks = {
  ...({ dc: 0.1, noise: 0.005, residual: 0.5, match: 0.5, power: 5, distortion: 1 } as Checks),
};

/** Claims held against the run. */
interface Judged {
  readonly claims: readonly { readonly text: string; readonly verdict: Verdict; readonly stored: boolean }[];
  /** Why the claim that the run keeps cannot be read; null when it can, or when there is none. */
  readonly unreadable: string | null;
}

/**
 * All that a run shows, the first sentence first: what endangers or invalidates, the answer to what was asked, what stands
 * beside it, how sure it is, what to do next. Every document takes its words from here.
 */
export function conclusionsOf(
  record: RunRecord,
  { claims, unreadable }: Judged,
  ratings: Ratings,
): Conclusion[] {
  const claimed = claims[0]?.verdict.claim ?? null;
  const purpose = purposeOf(record.sequence.text);
  const ground = groundOf(record, claimed?.distortion_percent ?? null, askedLimit(record, purpose, claimed));
  const asked = askedOf(ground.record, ground.evidence.flat(), purpose, claims.length > 0);
  const power = powerConclusions(ground, ratings, claimed?.load_ohm ?? null);
  const verdicts = claims.map(({ text, verdict, stored }) =>
    conclude(
      'answer',
      { code: 'claim', text, verdict, stored },
      { points: verdict.deciding?.points ?? [], steps: verdict.deciding ? [verdict.deciding.step] : [] },
    ),
  );
  const check = checked(ground, asked, purpose.checks);
  const answers = inOrder(asked, power, verdicts, check);
  const found = answers.length > 0 ? answers : [nothing(record)];
  return [
    ...endedEarly(ground, record),
    ...(unreadable === null
      ? []
      : [conclude('warning', { code: 'claim-unreadable', why: unreadable } as const)]),
    ...byRole(besideCheck(warningsOf(ground), check), uncontradicted(found, ground.record)),
    ...certainty(ground, power),
    ...(record.bench.kind === 'simulated' ? [conclude('certainty', { code: 'simulated' })] : []),
    ...(record.outcome === 'interrupted' || record.outcome === 'fault'
      ? [conclude('next', { code: 'resume', run: record.run })]
      : []),
  ];
}

/** What a reading contradicts is not stated: the reading is named instead. */
function uncontradicted(conclusions: readonly Conclusion[], record: RunRecord): Conclusion[] {
  const against = new Map(
    contradictions(conclusions, record).map(({ conclusion, reading }) => [conclusion, reading]),
  );
  return conclusions.map((conclusion): Conclusion => {
    const reading = against.get(conclusion);
    if (!reading) return conclusion;
    const { role, sentence, points, steps } = conclusion;
    return conclude(
      role,
      { code: 'contradicted', what: sentence, reading },
      { points: [...points, reading.point], steps: [...steps, reading.step] },
    );
  });
}

const ORDER: readonly Role[] = ['warning', 'answer', 'beside'];

function byRole(warnings: readonly Conclusion[], answers: readonly Conclusion[]): Conclusion[] {
  const all = [...warnings, ...answers];
  return ORDER.flatMap((wanted) => all.filter(({ role }) => role === wanted));
}

function inOrder(
  asked: Asks,
  power: readonly Conclusion[],
  claims: readonly Conclusion[],
  check: readonly Conclusion[],
): Conclusion[] {
  const beside = power.filter(isBesideFitness).map(toBeside);
  switch (asked) {
    case 'power':
      // A run that found no power has more to say about the claim.
      return power.some(({ code }) => FOUND.has(code))
        ? [...power, ...claims, ...check]
        : [...claims, ...power, ...check];
    case 'claim':
      return [...claims, ...power, ...check];
    case 'fit-for-use':
      return [...check, ...claims, ...beside];
  }
}

const toBeside = (one: Conclusion): Conclusion => ({ ...one, role: 'beside' });

const FOUND: ReadonlySet<ConclusionCode> = new Set(['full-band-power', 'power-at']);
/** What of the power is worth telling where nobody asked how much there is; that a climb went as far as planned is not. */
const isBesideFitness = (one: Conclusion): boolean =>
  one.code === 'power-at' ||
  one.code === 'level-kept' ||
  (one.code === 'climb-ended' && one.end.by !== 'step-limit');
/** What a check has its own items for. */
const CHECKED: ReadonlySet<ConclusionCode> = new Set(['out-of-line', 'exceeded-below']);

function besideCheck(warnings: readonly Conclusion[], check: readonly Conclusion[]): Conclusion[] {
  if (check.length === 0) return [...warnings];
  const failed = check.flatMap((one) =>
    one.code === 'check' ? one.items.filter(({ state }) => state === 'failed') : [],
  );
  // What the check has failed a channel for is not told again.
  const isTold = (one: Conclusion) =>
    one.code === 'out-of-line' &&
    failed.some(
      ({ check: which, channel }) =>
        channel === one.place.channel && which === (one.out.by === 'thdn' ? 'residual' : 'power'),
    );
  return warnings.filter((one) => !isTold(one)).map((one) => (CHECKED.has(one.code) ? toBeside(one) : one));
}

function checked({ record }: ConclusionGround, asked: Asks, checks: Checks | undefined): Conclusion[] {
  if (checks === undefined && asked !== 'fit-for-use') return [];
  const items = checkItems(record, checks ?? COMMON_CHECKS, sightOf(record.bench.text));
  if (items.length === 0) return [];
  const state = checkState(items);
  const telling = items.filter((item) => item.state === state);
  return [
    conclude('answer', { code: 'check', state, items }, { points: telling.flatMap(({ points }) => points) }),
  ];
}

const nothing = ({ points }: RunRecord): Conclusion =>
  conclude('answer', { code: 'nothing-found', measured: points.length });

/** What the figures rest on: the gain of the channel that decides, the input that its power takes, and what was assumed. */
function certainty({ record, evidence }: ConclusionGround, power: readonly Conclusion[]): Conclusion[] {
  const first = power.find(({ code }) => code === 'power-at' || code === 'full-band-power');
  const rated =
    first?.code === 'power-at'
      ? first.powers[0]?.power
      : first?.code === 'full-band-power'
        ? first.power
        : null;
  const piece = evidence
    .flat()
    .find(
      (one) =>
        one.step === rated?.step &&
        one.channel === rated.channel &&
        one.nominal_Hz === rated.nominal_Hz &&
        one.kept_W === rated.power_W,
    );
  if (!rated || !piece) return [];
  const own = record.readings.filter(({ step, channel }) => step === piece.step && channel === piece.channel);
  const nominal = own.every((reading) => reading.load_measured_ohm === reading.load_ohm);
  return [
    conclude(
      'certainty',
      {
        ...{ code: 'basis', channel: piece.channel, gain_dB: piece.gain_dB },
        ...{ power_W: rated.power_W, input_V: piece.input_V },
        assumes: [
          ...(nominal && !record.calibration.some(({ kind }) => kind === 'load')
            ? (['nominal-load'] as const)
            : []),
          ...(rated.uncertainty_W === null ? (['uncalibrated'] as const) : []),
        ],
      },
      { points: piece.points, steps: [piece.step] },
    ),
  ];
}

/** What a reader takes away first: warnings and answers, as one text. */
export const openingOf = (conclusions: readonly Conclusion[]): string =>
  conclusions
    .filter(({ role }) => role === 'warning' || role === 'answer')
    .map(({ sentence }) => sentence)
    .join(' ');

/** The same in no more than two sentences: the first warning, if there is one, and the first answer. */
export const headlineOf = (conclusions: readonly Conclusion[]): string[] =>
  (['warning', 'answer'] as const).flatMap(
    (wanted) => conclusions.find(({ role }) => role === wanted)?.sentence ?? [],
  );

/** Whether what was asked was measured, and the answer is no: a claim not met, or a check failed. */
export const answerIsNo = (conclusions: readonly Conclusion[]): boolean =>
  conclusions.some(
    (one) =>
      (one.code === 'claim' && one.verdict.verdict === 'not met') ||
      (one.code === 'check' && one.state === 'failed'),
  );
