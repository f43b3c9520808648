import type { BenchSetup } from '../../bench/bench-setup.js';
import { armedTrips, tripDelayWords, tripHeading } from '../../safety/armed-trips.js';
import { type NeededVisit, neededVisits } from '../../safety/unattended.js';
import type { LoadWork, Plan } from '../../sequence/plan.js';
import { asksForMeter } from '../../steps/quiet/plan.js';
import { formatDuration, formatQuantity } from '../../units/format.js';

/** What a permit holds to, and what it cannot. */
const COVERS =
  'The permit is valid for one run by this user, on this machine, into this database. The sequence, the bench file, its records and its program files must stay as they are now.';
const LEFT_OPEN =
  'It does not cover what these programs load: libraries, modules, settings. A user with your rights can copy its records and use it again.';

/** What a person signs for: the worst case of a plan, and what would end it. One sentence each. */
export function permitLines(plan: Plan, setup: BenchSetup): string[] {
  const { seconds, worst, loads, energy_J } = plan.estimate;
  const hottest = loads.reduce<LoadWork | null>(
    (most, work) => (most && most.heat_J >= work.heat_J ? most : work),
    null,
  );
  return [
    `Per channel up to ${formatQuantity(worst.voltage_Vrms, 'V')} rms, ${formatQuantity(worst.voltage_Vpk, 'V')} peak, ` +
      `${formatQuantity(worst.current_Apk, 'A')} peak, ${formatQuantity(worst.power_W, 'W')}; all channels together ${formatQuantity(worst.total_W, 'W')}.`,
    ...(hottest ? [heatLine(hottest, setup, energy_J)] : []),
    `About ${formatDuration(seconds)} in all.`,
    ...reachLines(neededVisits(plan, setup)),
    ...(plan.steps.some(asksForMeter)
      ? ['Nobody reads a meter: a limit of DC holds only where the inputs pass DC.']
      : []),
    ...(setup.sensors?.length
      ? []
      : ['No sensor monitors temperatures or the mains: the bench file names none.']),
    COVERS,
    LEFT_OPEN,
    ...armedTrips(plan, setup).map((trip) => `${tripHeading(plan, setup)}: ${trip}`),
    ...tripDelayWords(plan, setup),
  ];
}

/** How far a plan goes with nobody present, and what it then waits for. */
function reachLines(visits: readonly NeededVisit[]): string[] {
  const [first] = visits;
  if (!first) return ['It runs to its end with nobody present.'];
  const more = visits.length > 1 ? ` ${visits.length - 1} more such steps follow.` : '';
  return [
    `It runs up to step ${first.step}, which needs a person: ${first.text}`,
    `There the run ends with silent outputs, and ohmest resume continues it in person.${more}`,
  ];
}

function heatLine(
  { channel, load_ohm, heat_J, mean_W }: LoadWork,
  setup: BenchSetup,
  energy_J: number,
): string {
  const load = setup.channels
    .find((chain) => chain.channel === channel)!
    .loads.find(({ nominal_ohm }) => nominal_ohm === load_ohm)!;
  return (
    `Up to ${formatQuantity(heat_J, 'J')} of heat into the hottest load, ${formatQuantity(load_ohm, 'ohm')} on channel ${channel}: ` +
    `a mean of ${formatQuantity(mean_W, 'W')}, ${formatQuantity((100 * mean_W) / load.rating_W, '%', { figures: 2 })} of its rating of ${formatQuantity(load.rating_W, 'W')}; ` +
    `${formatQuantity(energy_J, 'J')} into all loads.`
  );
}
