import { expect, test } from 'vitest';
import { InputError } from '../../src/errors/ohmest-error.js';

class Wrong extends InputError {
  readonly code = 'WRONG';
}

test('a message says where, what and how to mend it, each sentence ended once', () => {
  const message = (explanation: ConstructorParameters<typeof Wrong>[0]) => new Wrong(explanation).message;
  expect(message({ what: 'no such load', where: 'a.yaml:1:2', mend: 'Name another' })).toBe(
    'a.yaml:1:2: no such load. Name another.',
  );
  expect(message({ what: 'at most 100 V: was another prefix meant?' })).toBe(
    'at most 100 V: was another prefix meant?',
  );
  expect(message({ what: 'was 100 mV meant?', mend: 'Write the unit' })).toBe(
    'was 100 mV meant? Write the unit.',
  );
});
