/**
 * harmed-device.mjs FLAG PROGRAM [ARGUMENT...]: runs a program that streams, and adds a quarter of full scale of DC to its response
 * from the block on in which a file FLAG is there.
 */
import { spawn } from 'node:child_process';
import { existsSync } from 'node:fs';

const [, , flag, program, ...args] = process.argv;
const DC = 0.25;
let rest = Buffer.alloc(0);

const child = spawn(program, args, { stdio: ['inherit', 'pipe', 'inherit'] });
child.stdout.on('data', (more) => {
  const bytes = Buffer.concat([rest, more]);
  const whole = bytes.length - (bytes.length % 4);
  rest = bytes.subarray(whole);
  if (existsSync(flag))
    for (let at = 0; at < whole; at += 4) bytes.writeFloatLE(bytes.readFloatLE(at) + DC, at);
  process.stdout.write(bytes.subarray(0, whole));
});
child.on('close', (status) => process.exit(status ?? 1));
process.stdout.on('error', () => {});
