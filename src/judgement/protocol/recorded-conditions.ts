import type { RunEvent } from '../../record/run-event.js';
import type { RunRecord } from '../../record/run-record.js';
import { isNear } from '../at-mains.js';
import { worked } from '../restate/restate-load.js';
import type { Condition } from './condition.js';
import { TRADE_RULE } from './trade-rule.js';

/** A condition that readings cannot show: a sensor may, else only what the operator said is left. */
interface Surrounding {
  readonly condition: string;
  readonly required: string;
  readonly source: string;
  /** What a question about it is known by. */
  readonly asked: Extract<RunEvent, { kind: 'answered' }>['subjects'][number];
  readonly judge?: (record: RunRecord) => Pick<Condition, 'found' | 'state'> | null;
}

const TEXT_2006 = '16 CFR 432.3, text of 2006; as unchanged in 2024 from memory';
const AMBIENT_SENSOR = /ambient|room|air/i;

const SURROUNDINGS: readonly Surrounding[] = [
  {
    condition: 'ambient',
    required: `still air, at least ${TRADE_RULE.ambient_degC} °C (77 °F)`,
    source: '16 CFR 432.3(d), text of 2006, and a public summary of 2024',
    asked: 'ambient',
    judge: ambient,
  },
  {
    condition: 'mains',
    required: '120 V rms sine (230 V for sets sold abroad), harmonics below 2 %',
    source: TEXT_2006,
    asked: 'mains-voltage',
    judge: mains,
  },
  {
    condition: 'mains frequency',
    required: '60 Hz (50 Hz for sets sold abroad)',
    source: TEXT_2006,
    asked: 'mains-frequency',
  },
  {
    condition: 'input used',
    required: 'line input, or phono where there is none',
    source: '16 CFR 432.3, from memory',
    asked: 'input-used',
  },
];

const ANSWERED = {
  confirmed: 'Confirmed.',
  refused: 'Refused.',
  'not-needed': 'Nothing to do on this bench.',
} as const;

/** The conditions around the unit. What an operator confirmed is quoted, but is no record of a value. */
export function recordedConditions(record: RunRecord): Condition[] {
  return SURROUNDINGS.map(({ condition, required, source, asked, judge }) => {
    const judged = judge?.(record) ?? null;
    const answer = record.events.find((event) => event.kind === 'answered' && event.subjects.includes(asked));
    const found =
      answer?.kind === 'answered'
        ? `not measured; asked of the operator: ${answer.text} ${ANSWERED[answer.answer]}`
        : 'not measured, not asked';
    return { condition, required, source, ...(judged ?? { found, state: 'not recorded' as const }) };
  });
}

function ambient({ probes }: RunRecord): Pick<Condition, 'found' | 'state'> | null {
  const read = probes.flatMap(({ probe, unit, value }) =>
    unit === 'degC' && value !== null && AMBIENT_SENSOR.test(probe) ? [value] : [],
  );
  if (read.length === 0) return null;
  const least = Math.min(...read);
  return {
    found: `at least ${worked(least, 'degC')} by a sensor; whether the air was still is not recorded`,
    state: least >= TRADE_RULE.ambient_degC ? 'met' : 'not met',
  };
}

/** What the operator set for the points into the rule's load; the shape of the mains is in no record. */
function mains({ points }: RunRecord): Pick<Condition, 'found' | 'state'> | null {
  const into8 = points.filter(({ load_ohm }) => load_ohm === TRADE_RULE.load_ohm);
  const set = [...new Set(into8.flatMap(({ mains_V }) => (mains_V === null ? [] : [mains_V])))];
  if (set.length === 0) return null;
  const words = `set by the operator to ${set.map((volts) => worked(volts, 'V')).join(', ')}`;
  return set.some((volts) => TRADE_RULE.mains_V.some((wanted) => isNear(volts, wanted)))
    ? { found: `${words}; harmonics not measured`, state: 'not recorded' }
    : { found: words, state: 'not met' };
}
