import type { RecordKind } from '../calibration/chain.js';
import { calibrateAttenuator } from './calibrate-attenuator.js';
import { calibrateFloor } from './calibrate-floor.js';
import { calibrateInput, type VoltsBy } from './calibrate-input.js';
import { calibrateLoad, type LoadChoice } from './calibrate-load.js';
import { calibrateOutput } from './calibrate-output.js';
import { calibrateResponse } from './calibrate-response.js';
import { type CalibrationWork, chainsOf, inRounds } from './calibration-work.js';
import type { Finding } from './finding.js';

/** What can be calibrated. */
export const CALIBRATED = [
  'output',
  'input',
  'attenuator',
  'load',
  'floor',
  'response',
] as const satisfies RecordKind[];
export type Calibrated = (typeof CALIBRATED)[number];

/** What a procedure leaves open. */
export interface CalibrationChoice extends LoadChoice {
  /** Where the volts at an input come from. */
  readonly voltsBy: VoltsBy;
  /** Read the output with a meter at every frequency of a response. */
  readonly meteredResponse: boolean;
}

/** Whether a calibration has somebody read a meter. */
export function usesMeter(what: Calibrated, choice: CalibrationChoice): boolean {
  switch (what) {
    case 'output':
    case 'load':
      return true;
    case 'input':
      return choice.voltsBy === 'meter';
    case 'response':
      return choice.meteredResponse;
    default:
      return false;
  }
}

/** Carries out one calibration on an open bench. @throws OhmestError, with nothing written */
export function calibrate(
  what: Calibrated,
  work: CalibrationWork,
  choice: CalibrationChoice,
): Promise<Finding[]> {
  switch (what) {
    case 'output':
      return calibrateOutput(work);
    case 'input':
      return inRounds(work, (round) => calibrateInput(round, choice.voltsBy));
    case 'attenuator':
      return inRounds(work, calibrateAttenuator);
    case 'load':
      return calibrateLoad(work, choice);
    case 'floor':
      return calibrateFloor({ ...work, channels: firstOfEachInput(work) });
    case 'response':
      return inRounds(work, (round) => calibrateResponse(round, choice.meteredResponse));
  }
}

/** A floor is of inputs, so that one channel of those that take turns at one speaks for all of them. */
function firstOfEachInput(work: CalibrationWork): number[] {
  const chains = chainsOf(work);
  return chains
    .filter(({ input }, i) => chains.findIndex((other) => other.input === input) === i)
    .map(({ channel }) => channel);
}
