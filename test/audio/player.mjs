// Plays 997 Hz at -6 dB of full scale until something happens to it. Says on stdout, a line each: `playing HOST_PID`
// once the tone has come back, `fault CODE` when the bench gives up (exit status 4). What a busy machine loses before that is
// played again.
import { AudioBench } from '../../dist/bench/audio/audio-bench.js';

const bench = new AudioBench(JSON.parse(process.argv[2]));
const step = (2 * Math.PI * 997) / bench.rate_Hz;
const tone = (start, frames) =>
  Float64Array.from({ length: frames }, (_, i) => 0.5 * Math.sin(step * (start + i)));
const source = {
  horizonFrames: 65536,
  render: (start, frames) => Array.from({ length: bench.channels }, () => tone(start, frames)),
};

const TRIES = 5;
let playing = false;

async function play() {
  for await (const block of bench.play(source)) {
    // The block in which the tone is well under way.
    if (block.start > 4800 || block.start + block.channels[0].length <= 4800) continue;
    playing = true;
    console.log(`playing ${bench.hostPid}`);
  }
}

try {
  await bench.open();
  for (let tries = 1; ; tries += 1)
    await play().catch((error) => {
      if (playing || error.code !== 'DROPOUT' || tries === TRIES) throw error;
    });
} catch (error) {
  console.log(`fault ${error.code}`);
  process.exitCode = 4;
} finally {
  await bench.close();
}
