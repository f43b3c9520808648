import { loadVoltsPerUnit } from '../../calibration/chain.js';
import { floorAt } from '../../calibration/floor.js';
import type { Reading, RunRecord } from '../../record/run-record.js';
import { levelAtInput_dB } from '../../runner/capture/reading.js';
import { DocumentError } from '../../schema/document-error.js';
import { storedBench } from '../run/stored-bench.js';

/**
 * What the bench of a run reads of itself at the frequency and the level of a reading, THD+N in percent, from the bench
 * file and the calibration stored with the run; null where nobody stated it, or where this version cannot read them.
 */
export function floorOfRun(record: RunRecord): (reading: Reading) => number | null {
  const setup = setupOf(record);
  const floor = setup?.floor ?? null;
  if (setup === null || floor === null) return () => null;
  return ({ channel, frequency_Hz, voltage_V }) => {
    const chain = setup.channels.find((one) => one.channel === channel);
    return chain ? floorAt(floor, frequency_Hz, levelAtInput_dB(voltage_V / loadVoltsPerUnit(chain))) : null;
  };
}

/** A run from another version must still have its report. */
function setupOf(record: RunRecord) {
  try {
    return storedBench(record);
  } catch (error) {
    if (error instanceof DocumentError) return null;
    throw error;
  }
}
