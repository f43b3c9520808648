import type { RecordKind } from '../calibration/chain.js';
import { calibrateAttenuator } from './calibrate-attenuator.js';
import { calibrateFloor } from './calibrate-floor.js';
import { calibrateInput, type VoltsBy } from './calibrate-input.js';
import { calibrateLoad, type LoadChoice } from './calibrate-load.js';
import { calibrateOutput } from './calibrate-output.js';
import { calibrateResponse } from './calibrate-response.js';
import { type CalibrationWork, chainsOf, inRounds } from './calibration-work.js';
import type { CalibrationFinding } from './finding.js';

/** What a procedure leaves open. */
export interface CalibrationChoice extends LoadChoice {
  /** Where the volts at an input come from. */
  readonly voltsBy: VoltsBy;
  /** Read the output with a meter at every frequency of a response. */
  readonly meteredResponse: boolean;
}

interface Procedure {
  /** Whether somebody has to read a meter. */
  usesMeter(choice: CalibrationChoice): boolean;
  carryOut(work: CalibrationWork, choice: CalibrationChoice): Promise<CalibrationFinding[]>;
}

const PROCEDURES = {
  output: { usesMeter: () => true, carryOut: calibrateOutput },
  input: {
    usesMeter: ({ voltsBy }) => voltsBy === 'meter',
    carryOut: (work, { voltsBy }) => inRounds(work, (round) => calibrateInput(round, voltsBy)),
  },
  attenuator: { usesMeter: () => false, carryOut: (work) => inRounds(work, calibrateAttenuator) },
  load: { usesMeter: () => true, carryOut: calibrateLoad },
  floor: {
    usesMeter: () => false,
    carryOut: (work) => calibrateFloor({ ...work, channels: firstOfEachInput(work) }),
  },
  response: {
    usesMeter: ({ meteredResponse }) => meteredResponse,
    carryOut: (work, { meteredResponse }) =>
      inRounds(work, (round) => calibrateResponse(round, meteredResponse)),
  },
} satisfies Partial<Record<RecordKind, Procedure>>;

export type Calibrated = keyof typeof PROCEDURES;

/** What can be calibrated. */
export const CALIBRATED = Object.keys(PROCEDURES) as Calibrated[];

/** Whether a calibration has somebody read a meter. */
export const usesMeter = (what: Calibrated, choice: CalibrationChoice): boolean =>
  (PROCEDURES[what] as Procedure).usesMeter(choice);

/** Carries out one calibration on an open bench. @throws OhmestError, with nothing written */
export const calibrate = (
  what: Calibrated,
  work: CalibrationWork,
  choice: CalibrationChoice,
): Promise<CalibrationFinding[]> => (PROCEDURES[what] as Procedure).carryOut(work, choice);

/** A floor is of inputs, so that one channel of those that take turns at one speaks for all of them. */
function firstOfEachInput(work: CalibrationWork): number[] {
  const chains = chainsOf(work);
  return chains
    .filter(({ input }, i) => chains.findIndex((other) => other.input === input) === i)
    .map(({ channel }) => channel);
}
