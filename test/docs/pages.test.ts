import { readFileSync } from 'node:fs';
import { encodeWav } from '../../src/signal/encode-wav.js';
import { PROJECT } from './command-blocks.js';
import { walkThrough } from './walk.js';

/** A tone that somebody might have recorded: 1 kHz at half of full scale, for two seconds. */
const RECORDING = encodeWav({
  rate_Hz: 48_000,
  channels: [Float64Array.from({ length: 96_000 }, (_, i) => 0.5 * Math.sin((2 * Math.PI * i) / 48))],
  format: 'float32',
});

/** The claim file that docs/claims.md shows. */
const [, CLAIMS] = /```yaml\n(unit: [\s\S]*?)```/.exec(readFileSync(`${PROJECT}docs/claims.md`, 'utf8'))!;

walkThrough('the README', ['README.md']);
walkThrough('the commands by example', ['docs/guide/commands.md'], { 'recording.wav': RECORDING });
walkThrough('the pages on building a bench', [
  'docs/guide/attenuator.md',
  'docs/guide/bridged.md',
  'docs/guide/levels.md',
]);
walkThrough('docs/guide/one-load.md', ['docs/guide/one-load.md']);
walkThrough('docs/claims.md', ['docs/claims.md'], { 'claims.yaml': CLAIMS! });
walkThrough('calibration/README.md', ['calibration/README.md']);
walkThrough('docs/long-runs.md', ['docs/long-runs.md']);
