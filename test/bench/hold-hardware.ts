/** Holds the hardware that it is told by name, says so, and stays until it is killed; says who holds it where it cannot. */
import { holdHardware } from '../../src/bench/hardware-lock.js';

const [key = '', command = ''] = process.argv.slice(2);
try {
  await holdHardware([{ words: 'the invented device', key }], command);
  process.stdout.write('held\n');
  process.stdin.resume();
} catch (error) {
  process.stdout.write(`${(error as Error).message}\n`);
}
