import type { ChannelChain, Load } from '../calibration/chain.js';
import { nominalMatch, nominalWords } from '../calibration/nominal-match.js';
import { formatQuantity } from '../units/format.js';
import { type Accuracy, countsLimit, limitOf, rectangular } from './accuracy.js';
import { ReadingImplausible } from './calibration-errors.js';
import { type CalibrationWork, chainsOf, confirmed } from './calibration-work.js';
import { type CalibrationFinding, finding, type LoadExtras } from './finding.js';
import { askPlausibly } from './plausible.js';
import { requireAccuracy, requireFine } from './requirements.js';

/** What a load is to be read for beyond its cold ohms. */
export interface LoadChoice {
  /** Nominal values to read; null: every load that the bench file gives the channel. */
  readonly nominal_ohm: number | null;
  /** Temperature of the cold load when it is known already. */
  readonly temperature_C: number | null;
  /** Warm it too, for its temperature coefficient. */
  readonly hot: boolean;
  /** Read its impedance at two frequencies too, for its inductance. */
  readonly inductance: boolean;
}

/** Frequencies at which a hand-held bridge reads. */
const BRIDGE_Hz = [1000, 10_000] as const;
/** Limits of a thermometer or thermocouple on a load, kelvins: common practice, no source. */
const THERMOMETER_K = 2;
/** Less warming than this tells nothing of a temperature coefficient. */
const LEAST_RISE_K = 20;
const ROOT_3 = Math.sqrt(3);

/**
 * Four-wire resistance of loads, cold; with `hot` their temperature coefficient, with `inductance` their inductance.
 *
 * @throws OhmestError saying why a reading cannot be right; nothing has been written then
 */
export async function calibrateLoad(
  work: CalibrationWork,
  choice: LoadChoice,
): Promise<CalibrationFinding[]> {
  const accuracy = requireAccuracy(work);
  const findings: CalibrationFinding[] = [];
  for (const chain of chainsOf(work))
    for (const load of chain.loads)
      if (choice.nominal_ohm === null || load.nominal_ohm === choice.nominal_ohm)
        findings.push(await loadFinding(work, chain, load, choice, accuracy));
  return findings;
}

async function loadFinding(
  work: CalibrationWork,
  { channel }: ChannelChain,
  { nominal_ohm }: Load,
  choice: LoadChoice,
  accuracy: Accuracy,
): Promise<CalibrationFinding> {
  const which = { channel, nominal_ohm };
  requireFine(accuracy, nominal_ohm, 'ohm', channel);
  await confirmed(
    work,
    `Is the ${nominal_ohm} ohm load of channel ${channel} cold and disconnected from everything, and the meter, four wires, at its own terminals?`,
  );
  const cold_C = choice.temperature_C ?? (await readTemperature(work, which, 'cold'));
  const cold_ohm = await readOhms(work, which, 'cold');
  const off = nominalMatch(cold_ohm, nominal_ohm) === 'off' ? nominalWords(cold_ohm, nominal_ohm) : null;
  if (off !== null)
    await confirmed(work, `On channel ${channel} ${off}. Is this the load that is meant, and not another?`);
  const inductance = choice.inductance ? await readInductance(work, which, accuracy) : null;
  const tempco = choice.hot ? await readTempco(work, which, { cold_C, cold_ohm }, accuracy) : null;
  const what = `load ${nominal_ohm} ohm of channel ${channel}`;
  return finding({
    kind: 'load',
    ...which,
    value: cold_ohm,
    standing: [
      ...rectangular(`${what}: meter, percent of reading`, accuracy.percent),
      ...rectangular(`${what}: meter, counts`, (100 * countsLimit(accuracy)) / cold_ohm),
    ],
    temperature_C: cold_C,
    load: { tempco, inductance },
    notes: [
      ...notesOf({ tempco, inductance }),
      ...(off === null
        ? []
        : [`Confirmed: ${off}. A bench file that uses this record needs 'off_nominal: yes' at the load.`]),
    ],
  });
}

async function readOhms(
  work: CalibrationWork,
  { channel, nominal_ohm }: { channel: number; nominal_ohm: number },
  state: 'cold' | 'hot',
): Promise<number> {
  return askPlausibly(work, {
    question: { kind: 'load-ohms', channel, nominal_ohm, state },
    text: `The ${nominal_ohm} ohm load of channel ${channel}, ${state}. Ohms on the meter, four wires:`,
    fault: (reading) => ohmsFault(reading, nominal_ohm, channel),
  });
}

function ohmsFault(reading: number, nominal_ohm: number, channel: number): string | null {
  const print = formatQuantity(reading, 'ohm');
  if (!(reading > 0)) return `${print} is not a resistance; about ${nominal_ohm} ohm is expected`;
  if (nominalMatch(reading, nominal_ohm) !== 'another') return null;
  const factor = reading / nominal_ohm;
  const times =
    factor > 1 ? `${Number(factor.toPrecision(3))} times` : `1/${Number((1 / factor).toPrecision(3))} of`;
  return `${print} is ${times} the ${nominal_ohm} ohm of channel ${channel}: is this the right load, and the meter in the right range`;
}

async function readTemperature(
  work: CalibrationWork,
  { channel, nominal_ohm }: { channel: number; nominal_ohm: number },
  state: 'cold' | 'hot',
): Promise<number> {
  return askPlausibly(work, {
    question: { kind: 'temperature', channel, nominal_ohm, state },
    text: `Temperature of the ${state} ${nominal_ohm} ohm load of channel ${channel}, degrees Celsius:`,
    fault: (reading) =>
      reading > -20 && reading < (state === 'cold' ? 50 : 400)
        ? null
        : `${formatQuantity(reading, 'degC')} is not the temperature of a ${state} load`,
  });
}

/** Temperature coefficient from a second reading of the warm load. The meter's percents are the same both times and cancel. */
async function readTempco(
  work: CalibrationWork,
  which: { channel: number; nominal_ohm: number },
  { cold_C, cold_ohm }: { cold_C: number; cold_ohm: number },
  accuracy: Accuracy,
): Promise<LoadExtras['tempco']> {
  await confirmed(
    work,
    `Warm the ${which.nominal_ohm} ohm load of channel ${which.channel} (ten minutes at a quarter of its rating), disconnect it, and read it at once. Is it warm, and the meter back at its terminals?`,
  );
  const hot_C = await readTemperature(work, which, 'hot');
  const rise_K = hot_C - cold_C;
  if (rise_K < LEAST_RISE_K)
    throw new ReadingImplausible({
      what: `${formatQuantity(hot_C, 'degC')} is only ${rise_K.toFixed(0)} K above the cold load`,
      where: `channel ${which.channel}`,
      mend: `Warm it by at least ${LEAST_RISE_K} K, or leave --hot out`,
    });
  const hot_ohm = await readOhms(work, which, 'hot');
  const perKelvin = (hot_ohm / cold_ohm - 1) / rise_K;
  const counts = (Math.SQRT2 * countsLimit(accuracy)) / cold_ohm / rise_K;
  const thermometer = (Math.abs(perKelvin) * Math.SQRT2 * THERMOMETER_K) / rise_K;
  return { perKelvin, standard_perKelvin: Math.hypot(counts, thermometer) / ROOT_3 };
}

/** From |Z|^2 = R^2 + (2 pi f L)^2 at two frequencies; a bridge's error at one is taken to say nothing of that at the other. */
async function readInductance(
  work: CalibrationWork,
  { channel, nominal_ohm }: { channel: number; nominal_ohm: number },
  accuracy: Accuracy,
): Promise<LoadExtras['inductance']> {
  const impedances: number[] = [];
  for (const frequency_Hz of BRIDGE_Hz)
    impedances.push(
      await askPlausibly(work, {
        question: { kind: 'load-impedance', channel, nominal_ohm, frequency_Hz },
        text: `Impedance of the ${nominal_ohm} ohm load of channel ${channel} at ${formatQuantity(frequency_Hz, 'Hz')}, ohms on the bridge:`,
        fault: (reading) => ohmsFault(reading, nominal_ohm, channel),
      }),
    );
  return inductanceFrom(impedances as [number, number], accuracy);
}

/** @param impedances at the two frequencies of the bridge */
export function inductanceFrom(
  [low_ohm, high_ohm]: readonly [number, number],
  accuracy: Accuracy,
): LoadExtras['inductance'] {
  const [low_Hz, high_Hz] = BRIDGE_Hz;
  const per_H2 = (2 * Math.PI) ** 2 * (high_Hz ** 2 - low_Hz ** 2);
  const squared = high_ohm ** 2 - low_ohm ** 2;
  const standard = (2 * Math.hypot(high_ohm, low_ohm) * limitOf(accuracy, high_ohm)) / ROOT_3;
  if (squared > 2 * standard) return { value_H: Math.sqrt(squared / per_H2), below: false };
  return { value_H: Math.sqrt(Math.max(squared, 0) / per_H2 + (2 * standard) / per_H2), below: true };
}

function notesOf({ tempco, inductance }: LoadExtras): string[] {
  const notes = ["Four wires, at the load's own terminals, cold and disconnected."];
  if (tempco)
    notes.push(
      `Temperature coefficient from a cold and a hot reading: ${ppm(tempco.perKelvin)}, standard uncertainty ${ppm(tempco.standard_perKelvin)}.`,
    );
  if (inductance?.below)
    notes.push(
      `Inductance below ${formatQuantity(inductance.value_H, 'H')}: too small for the bridge to resolve.`,
    );
  return notes;
}

function ppm(perKelvin: number): string {
  return `${(perKelvin * 1e6).toFixed(0)} ppm/K`;
}
