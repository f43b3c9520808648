import type { BenchFacts } from './bench-facts.js';
import { loadWork } from './load-work.js';
import { operatorChange } from './operator-change.js';
import {
  type EnergisedStep,
  type Estimate,
  isEnergised,
  isWired,
  type PlanStep,
  type WorstCase,
} from './plan.js';
import { ASK_s, climbLooks, maxPowerLooks, partsOf } from './step-parts.js';

function pointsOf(step: PlanStep): number {
  if (step.kind === 'climb') return Math.round(climbLooks(step));
  if (step.kind === 'max-power') {
    const { each, first } = maxPowerLooks(step);
    return Math.round(each * step.tones.length + first);
  }
  if (step.kind === 'hold' || step.kind === 'warm-up') return Math.ceil(step.seconds / step.every_s);
  if (step.kind === 'quiet') return 1;
  return step.kind === 'sweep' ? step.tones.length : 0;
}

/** About how long a step takes, in seconds of bench time, once everything is set up. */
export function stepSeconds(step: PlanStep): number {
  return partsOf(step).reduce((sum, { seconds }) => sum + seconds, 0);
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
