import type { CoherentTone } from '../stimulus/coherent-tone.js';
import type { BenchFacts } from './bench-facts.js';
import { loadWork } from './load-work.js';
import { operatorChange } from './operator-change.js';
import {
  type CeilingStep,
  type ClimbStep,
  type EnergisedStep,
  type Estimate,
  isEnergised,
  isWired,
  type PlanStep,
  type WorstCase,
} from './plan.js';

/** A climb over three decades takes about this many points, and so many more to refine each mark. */
const CLIMB_POINTS = 14;
const CLIMB_POINTS_PER_MARK = 5;
/** Looks that a ceiling takes at each frequency when its neighbour's is known, and more for every further channel. */
const CEILING_LOOKS = 3.2;
const CEILING_LOOKS_PER_CHANNEL = 0.6;
/** Looks of its first frequency beyond that, when it is searched from below. */
const CEILING_SEARCH_LOOKS = 15;
/** Records that one look costs: ramp, settling, the record itself. A unit whose supply sags takes half as many again. */
const RECORDS_PER_LOOK = 1.2;
/** Looks per point of a sweep that trims its level. */
const LOOKS_PER_TRIMMED_POINT = 1.3;
/** Reading and confirming a text takes about this long; what it asks for may take longer. */
const ASK_s = 20;

const lookSeconds = ({ frames, rate_Hz }: CoherentTone) => (RECORDS_PER_LOOK * frames) / rate_Hz;

const climbPoints = ({ marks_percent }: ClimbStep) =>
  CLIMB_POINTS + CLIMB_POINTS_PER_MARK * marks_percent.length;
const ceilingLooks = ({ measured }: CeilingStep) =>
  CEILING_LOOKS + CEILING_LOOKS_PER_CHANNEL * (measured.length - 1);
const ceilingSearchLooks = ({ start }: CeilingStep) => (start ? 0 : CEILING_SEARCH_LOOKS);

function pointsOf(step: PlanStep): number {
  if (step.kind === 'climb') return climbPoints(step);
  if (step.kind === 'ceiling')
    return Math.round(ceilingLooks(step) * step.tones.length + ceilingSearchLooks(step));
  if (step.kind === 'hold' || step.kind === 'warm-up') return Math.ceil(step.seconds / step.every_s);
  if (step.kind === 'quiet') return 1;
  return step.kind === 'sweep' ? step.tones.length : 0;
}

/** About how long a step takes, in seconds of bench time. */
export function stepSeconds(step: PlanStep): number {
  switch (step.kind) {
    case 'ask':
      return ASK_s;
    case 'rest':
      return step.seconds;
    case 'climb':
      return climbPoints(step) * lookSeconds(step.tone);
    case 'ceiling':
      return (
        ceilingLooks(step) * step.tones.reduce((sum, tone) => sum + lookSeconds(tone), 0) +
        ceilingSearchLooks(step) * lookSeconds(step.tones[0]!)
      );
    case 'hold':
    case 'warm-up':
    case 'quiet':
      return step.seconds;
    case 'sweep': {
      const looks = step.hold === 'power' ? LOOKS_PER_TRIMMED_POINT : 1;
      return looks * step.tones.reduce((sum, tone) => sum + lookSeconds(tone), 0);
    }
  }
}

/** The most that steps can ask for. */
function worstCase(steps: readonly EnergisedStep[], bench: BenchFacts): Omit<WorstCase, 'heat_J'> {
  let worst = { voltage_Vrms: 0, current_Apk: 0, power_W: 0, total_W: 0 };
  for (const step of steps) {
    for (const { loads } of bench.channels.filter((chain) => step.driven.includes(chain.channel))) {
      const load_ohm =
        loads.find((load) => load.nominal_ohm === step.load_ohm)?.measured_ohm ?? step.load_ohm;
      worst = {
        voltage_Vrms: Math.max(worst.voltage_Vrms, Math.sqrt(step.most_W * load_ohm)),
        current_Apk: Math.max(worst.current_Apk, Math.sqrt((2 * step.most_W) / load_ohm)),
        power_W: Math.max(worst.power_W, step.most_W),
        total_W: Math.max(worst.total_W, step.most_W * step.driven.length),
      };
    }
  }
  return { ...worst, voltage_Vpk: worst.voltage_Vrms * Math.SQRT2 };
}

/** Points, time, worst case, heat and visits of a whole plan. */
export function estimate(steps: readonly PlanStep[], bench: BenchFacts): Estimate {
  const wired = steps.filter(isWired);
  const changes = wired.filter((step, i) => operatorChange(step, wired[i - 1] ?? null) !== null).length;
  const loads = loadWork(steps, bench.channels, stepSeconds);
  const heats_J = loads.map(({ heat_J }) => heat_J);
  return {
    points: steps.reduce((sum, step) => sum + pointsOf(step), 0),
    seconds: steps.reduce((sum, step) => sum + stepSeconds(step), changes * ASK_s),
    worst: { ...worstCase(steps.filter(isEnergised), bench), heat_J: Math.max(0, ...heats_J) },
    loads,
    energy_J: heats_J.reduce((sum, heat_J) => sum + heat_J, 0),
    visits: changes + steps.filter((step) => step.kind === 'ask').length,
  };
}
