import { dirname, resolve } from 'node:path';
import type { Bench } from '../../bench/bench.js';
import type { BenchSetup } from '../../bench/bench-setup.js';
import type { BenchInHand } from '../../bench/held-bench.js';
import type { Sensor, SensorSetup, SensorSource } from '../../bench/sensor.js';
import { asTold, inputError } from '../../errors/error-table.js';

/** A sensor asks a twin for something that it has not. */
export const SensorDoesNotFit = inputError('PROBE_DOES_NOT_FIT', asTold);

/**
 * The sensors of a bench file, ready to be read. Reads nothing.
 *
 * @throws SensorDoesNotFit
 */
export async function openSensors({ setup, bench }: Pick<BenchInHand, 'setup' | 'bench'>): Promise<Sensor[]> {
  const sensors = setup.sensors ?? [];
  return Promise.all(
    sensors.map(async (sensor) => ({ setup: sensor, read: await reader(sensor, setup, bench) })),
  );
}

async function reader(sensor: SensorSetup, setup: BenchSetup, bench: Bench): Promise<Sensor['read']> {
  const { source, timeout_s } = sensor;
  if (source.kind !== 'program') return twinReader(sensor.name, source, bench);
  const { readSensorProgram } = await import('../../bench/sensors/sensor-program.js');
  const folder = dirname(resolve(setup.path));
  return (signal) => readSensorProgram({ argv: source.argv, folder, timeout_s, signal });
}

async function twinReader(
  name: string,
  source: Exclude<SensorSource, { kind: 'program' }>,
  bench: Bench,
): Promise<Sensor['read']> {
  const { SimulatedBench } = await import('../../bench/simulated/simulated-bench.js');
  if (!(bench instanceof SimulatedBench))
    throw new SensorDoesNotFit({ what: `sensor ${name}: only a simulated bench has a twin to read` });
  if (source.kind === 'heatsink') return () => bench.temperature_C;
  if (source.kind === 'load') return () => bench.warmestLoad_C(source.channel);
  const { mains_V } = bench;
  if (mains_V === null)
    throw new SensorDoesNotFit({
      what: `sensor ${name}: the twin of this bench has regulated rails and no mains`,
      mend: 'Leave the sensor out, or name a twin with a mains supply',
    });
  return () => mains_V;
}
