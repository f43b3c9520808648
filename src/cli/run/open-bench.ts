import type { Bench } from '../../bench/bench.js';
import type { BenchSetup } from '../../bench/bench-setup.js';

/** The bench that a bench file describes. Only its own kind of bench is loaded. */
export async function benchFor(setup: BenchSetup): Promise<Bench> {
  switch (setup.kind) {
    case 'simulated':
      return (await import('../../bench/simulated/open-simulated.js')).openSimulated(setup);
    case 'audio':
      return new (await import('../../bench/audio/audio-bench.js')).AudioBench(setup);
    case 'command':
      return new (await import('../../bench/command/command-bench.js')).CommandBench(setup);
  }
}
