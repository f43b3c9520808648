import { writeFileSync } from 'node:fs';
import { setPriority } from 'node:os';

/**
 * Runs before the tests on sound: a bench's own computer has nothing else to do, so on a busy one they come first. What they
 * start inherits it. Not everybody may put a program first; then they run like everything else.
 */
const NICENESS = -11;

try {
  setPriority(NICENESS);
  writeFileSync('/proc/self/autogroup', String(NICENESS), { flag: 'r+' });
} catch {
  // As above.
}
