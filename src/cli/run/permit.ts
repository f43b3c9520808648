import { randomInt } from 'node:crypto';
import type { BenchSetup } from '../../bench/bench-setup.js';
import { HeldBench } from '../../bench/held-bench.js';
import type { Sensor } from '../../bench/sensor.js';
import { wrapText } from '../../document/text/wrap-text.js';
import { asTold, inputError } from '../../errors/error-table.js';
import type { Permit } from '../../record/run-record.js';
import { armedTrips, tripDelayWords } from '../../safety/armed-trips.js';
import { benchFingerprint } from '../../safety/bench-fingerprint.js';
import { hazards } from '../../safety/hazards.js';
import { LONGEST_PERMIT_s } from '../../safety/permit-terms.js';
import { firstSetUp } from '../../safety/set-up.js';
import { requireRatings } from '../../safety/supply-rating.js';
import { openingQuestions, UNATTENDED_ITEMS } from '../../safety/unattended.js';
import type { Plan } from '../../sequence/plan.js';
import { PermitSlips } from '../../store/state/permit-slips.js';
import { stateFolder } from '../../store/state/state-folder.js';
import { formatDuration, formatQuantity, unitSign } from '../../units/format.js';
import { BadQuantity, parseQuantity, quoted } from '../../units/parse.js';
import { visibleName } from '../../units/visible-text.js';
import { storePlace } from '../look/store-place.js';
import { operatorAt } from '../terminal/ask.js';
import { FaultList } from '../terminal/fault-list.js';
import { inOption } from '../terminal/option.js';
import { planNamed } from '../terminal/read-input.js';
import type { Terminal } from '../terminal/terminal.js';
import { confirmBeforehand, confirmEach } from './cautions.js';
import { type BenchGiven, consentTo } from './consent.js';
import { interruption } from './interruption.js';
import { openSensors } from './open-sensors.js';
import { permitLines } from './permit-text.js';

export interface PermitOptions extends Pick<BenchGiven, 'benchTyped'> {
  readonly bench: string;
  readonly claim?: string;
  readonly db: string;
  readonly expires: string;
  readonly json?: boolean;
}

/** A sensor that a run would depend on does not answer, or answers beyond its limits. */
export const SensorNotWell = inputError('PROBE_NOT_WELL', asTold);

const MOST_s = LONGEST_PERMIT_s;
const LEAST_s = 60;
/** Letters and digits that nobody takes for one another. */
const ALPHABET = '23456789abcdefghjkmnpqrstuvwxyz';
const ID_LETTERS = 6;

/** `ohmest permit`: goes through the checklist with a person at the bench and signs what an unattended run needs. */
export async function permit(terminal: Terminal, sequence: string, options: PermitOptions): Promise<number> {
  const faults = new FaultList();
  const lasts_s = faults.gather(() => lifeOf(options.expires));
  const { setup, plan, claim } = planNamed(sequence, options.bench, faults, options.claim);
  requireRatings(plan, setup);
  const held = await HeldBench.take(await consentTo(terminal, setup, options), 'ohmest permit', false);
  const sensors = await openSensors(held);
  const place = await storePlace(options.db);
  const { signal, abort, release } = interruption();
  const operator = operatorAt(terminal, { signal, abort }, setup);
  try {
    await show(terminal, plan, setup, sensors);
    const before = await confirmBeforehand(operator, plan, setup, signal);
    const { by } = before;
    const made = firstSetUp(plan, before.setup);
    const connections = made ? [made.connect, ...made.checks, made.switchOn] : [];
    const opening = (onceConnected: boolean) =>
      openingQuestions(plan)
        .filter((question) => question.onceConnected === onceConnected)
        .map(({ text }) => ({ about: 'sequence', text }) as const);
    const alone = UNATTENDED_ITEMS.map(({ text }) => ({ about: 'unattended', text }) as const);
    const asked = [...opening(false), ...connections, ...opening(true), ...alone];
    const after = await confirmEach(operator, asked, by, signal);
    const answers = [...before.answers, ...after];
    const store = await place.store();
    const signed = signedPermit(plan, setup, {
      id: freshId((await store.permits()).map((filed) => filed.permit.id)),
      claim,
      by,
      lasts_s: lasts_s!,
      answers,
    });
    // A slip without a permit covers nothing. A permit without its slip would be refused only when it is to be used.
    new PermitSlips(stateFolder()).sign(signed, store.place);
    await store.sign(signed);
    tell(terminal, signed, sequence, options, lasts_s!);
    return 0;
  } finally {
    operator.close();
    release();
    await place.close();
  }
}

/** For how long a permit may be used, in seconds. @throws BadQuantity */
function lifeOf(text: string): number {
  const where = '--expires';
  const seconds = inOption(where, () => parseQuantity(text, 's'));
  if (seconds >= LEAST_s && seconds <= MOST_s) return seconds;
  throw new BadQuantity({
    what: `a permit cannot last ${quoted(text)}`,
    where,
    mend: 'Give a time from 1 min to 7 d, in which the run must start',
  });
}

async function show(
  terminal: Terminal,
  plan: Plan,
  setup: BenchSetup,
  sensors: readonly Sensor[],
): Promise<void> {
  const width = Math.min(120, Math.max(60, terminal.width));
  const line = (text: string) => terminal.err(wrapText(text, width, '  '));
  line(`${plan.name} on ${setup.name}, unattended`);
  for (const text of permitLines(plan, setup)) line(`- ${text}`);
  for (const warning of plan.warnings ?? []) line(`note: ${warning}`);
  for (const hazard of hazards(plan, setup)) line(`! ${hazard.text}`);
  for (const sensor of sensors) line(`- ${await present(sensor)}`);
  if (!setup.energises)
    line('This bench puts no power on any terminal, and its runs need no permit. Sign for practice.');
}

/** What a sensor says now. @throws SensorNotWell when a run would end by it at once */
async function present({ setup, read }: Sensor): Promise<string> {
  const { name, high, low, needed } = setup;
  const unit = unitSign(setup.unit);
  let value: number;
  try {
    value = await read(new AbortController().signal);
  } catch (error) {
    const what = `sensor ${name} gives no value: ${error instanceof Error ? error.message : error}`;
    if (needed)
      throw new SensorNotWell({
        what,
        mend: 'Fix it. Set needed: no in the bench file only if the run is safe without this sensor',
      });
    return `${what}. It is not needed.`;
  }
  const words = `Sensor ${name} reads ${formatQuantity(value, '1')} ${unit} now`;
  if ((high !== null && value > high) || (low !== null && value < low))
    throw new SensorNotWell({
      what: `${words}, beyond its limits (${low ?? 'none'} to ${high ?? 'none'} ${unit})`,
      mend: 'Wait until it is within its limits, or fix the cause',
    });
  return `${words}.`;
}

interface Signature extends Pick<Permit, 'id' | 'claim' | 'by'> {
  readonly lasts_s: number;
  readonly answers: readonly { readonly item: string; readonly answer: string }[];
}

function signedPermit(plan: Plan, setup: BenchSetup, { lasts_s, answers, ...rest }: Signature): Permit {
  const now = Date.now();
  const { seconds, worst, loads, energy_J } = plan.estimate;
  return {
    ...rest,
    sequence: plan.name,
    sequence_sha256: plan.sequence.sha256,
    bench: setup.name,
    bench_fingerprint: benchFingerprint(setup),
    signed: new Date(now).toISOString(),
    expires: new Date(now + 1000 * lasts_s).toISOString(),
    worst: {
      ...worst,
      duration_s: seconds,
      energy_J,
      loads,
      trips: [...armedTrips(plan, setup), ...tripDelayWords(plan, setup)],
    },
    checklist: answers.map(({ item, answer }) => ({ item, answer })),
  };
}

function freshId(taken: readonly string[]): string {
  for (;;) {
    const letters = Array.from({ length: ID_LETTERS }, () => ALPHABET[randomInt(ALPHABET.length)]);
    const id = `p-${letters.join('')}`;
    if (!taken.includes(id)) return id;
  }
}

function tell(
  terminal: Terminal,
  signed: Permit,
  sequence: string,
  { bench, db, claim, json }: PermitOptions,
  lasts_s: number,
): void {
  if (json) {
    terminal.out(JSON.stringify({ permit: signed }, null, 2));
    return;
  }
  const more = `${claim === undefined ? '' : ` --claim '${claim}'`} --db ${visibleName(db)}`;
  terminal.out(
    `permit ${signed.id}, signed by ${signed.by}, for one run that starts within ${formatDuration(lasts_s)}`,
  );
  terminal.out(
    `  ohmest run ${visibleName(sequence)} --bench ${visibleName(bench)}${more} --permit ${signed.id} --unit LABEL`,
  );
}
