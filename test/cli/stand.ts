import { randomUUID } from 'node:crypto';
import { readFileSync } from 'node:fs';

/** Three points of 1 W: the shortest sequence that plays. */
export const SHORT = `name: Short
load: 8 ohm
steps:
  - sweep: {id: three, level: 1 W, frequencies: [500 Hz, 1 kHz, 2 kHz]}
`;

/** Far more points than any test waits for. */
export const LONG = `name: Long
load: 8 ohm
steps:
${'  - sweep: {level: 1 W, frequencies: R40 from 20 Hz to 20 kHz}\n'.repeat(60)}`;

/** A bench with the twin of this name beside it. */
export const benchWithTwin = (twin: string) => `name: Bench in a temporary folder
interface: {kind: simulated, twin: ${twin}, rate: 48 kHz}
channels:
  - output: {full_scale: 3 V rms}
    input: {full_scale: 2 V rms}
    attenuator: {ratio: 25, rating: 150 V peak}
    load: {nominal: 8 ohm, rating: 250 W}
`;

/** The reference clipper with something more. */
export const idealTwinWith = (more: string) =>
  `${readFileSync(new URL('../../benches/twins/ideal-40.yaml', import.meta.url), 'utf8')}${more}\n`;

/** A bench whose device is the program below; one volt of the response is 50 V at the load. */
export const programBench = (hardware: 'yes' | 'no' | 'practice') => `name: Program
interface:
  kind: command
  argv: ['${process.execPath}', device.mjs, '{stimulus}', '{response}']
  rate: 48 kHz
  hardware: ${hardware}
unit_supply: {outputs: single-ended, rails: 80 V}
channels:
  - output: {full_scale: 1 V peak}
    input: {full_scale: 1 V peak}
    attenuator: {ratio: 50, rating: 100 V peak}
    load: {nominal: 8 ohm, rating: 200 W}
`;

/** One program drives one piece of hardware, on the whole machine: each test file has its own. */
const OWN = randomUUID();

/**
 * A device of half the input that fails from its take number `takes` on. It leaves one byte a take in the
 * file `takes` of its folder, so that a test can see whether anything was played.
 */
export const device = (takes = Number.MAX_SAFE_INTEGER) => `// ${OWN}
import { appendFileSync, readFileSync, statSync, writeFileSync } from 'node:fs';
const [stimulus, response] = process.argv.slice(2);
appendFileSync('takes', '.');
if (statSync('takes').size >= ${takes}) {
  console.error('the invented relay has stuck');
  process.exit(7);
}
const bytes = readFileSync(stimulus);
const from = bytes.indexOf('data') + 8;
for (let at = from; at + 4 <= bytes.length; at += 4) bytes.writeFloatLE(0.5 * bytes.readFloatLE(at), at);
writeFileSync(response, bytes);
`;
