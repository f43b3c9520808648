import { dirname, resolve } from 'node:path';
import type { Bench } from '../../bench/bench.js';
import type { BenchSetup } from '../../bench/bench-setup.js';
import type { BenchInHand } from '../../bench/held-bench.js';
import type { Probe, ProbeSetup, ProbeSource } from '../../bench/probe.js';
import { asTold, inputError } from '../../errors/error-table.js';

/** A probe asks a twin for something that it has not. */
export const ProbeDoesNotFit = inputError('PROBE_DOES_NOT_FIT', asTold);

/**
 * The probes of a bench file, ready to be read. Reads nothing.
 *
 * @throws ProbeDoesNotFit
 */
export async function openProbes({ setup, bench }: Pick<BenchInHand, 'setup' | 'bench'>): Promise<Probe[]> {
  const probes = setup.probes ?? [];
  return Promise.all(
    probes.map(async (probe) => ({ setup: probe, read: await reader(probe, setup, bench) })),
  );
}

async function reader(probe: ProbeSetup, setup: BenchSetup, bench: Bench): Promise<Probe['read']> {
  const { source, timeout_s } = probe;
  if (source.kind !== 'program') return twinReader(probe.name, source, bench);
  const { readProbeProgram } = await import('../../bench/probes/probe-program.js');
  const folder = dirname(resolve(setup.path));
  return (signal) => readProbeProgram({ argv: source.argv, folder, timeout_s, signal });
}

async function twinReader(
  name: string,
  source: Exclude<ProbeSource, { kind: 'program' }>,
  bench: Bench,
): Promise<Probe['read']> {
  const { SimulatedBench } = await import('../../bench/simulated/simulated-bench.js');
  if (!(bench instanceof SimulatedBench))
    throw new ProbeDoesNotFit({ what: `sensor ${name}: only a simulated bench has a twin to read` });
  if (source.kind === 'heatsink') return () => bench.temperature_C;
  if (source.kind === 'load') return () => bench.warmestLoad_C(source.channel);
  const { mains_V } = bench;
  if (mains_V === null)
    throw new ProbeDoesNotFit({
      what: `sensor ${name}: the twin of this bench has regulated rails and no mains`,
      mend: 'Leave the sensor out, or name a twin with a mains supply',
    });
  return () => mains_V;
}
