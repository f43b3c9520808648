import { afterEach, beforeEach, expect, it } from 'vitest';
import { consentTo, ProgramsNotNamed } from '../../../src/cli/run/consent.js';
import type { Question } from '../../../src/safety/question.js';
import { MAY_PROGRAMS_RUN } from '../../../src/safety/question.js';
import { benchOf } from '../../runner/run.js';

const setup = benchOf(`name: Program
interface: {kind: command, argv: [player, '{stimulus}', '{response}'], rate: 48 kHz}
probes:
  - {name: heatsink, argv: [read-probe, '--port', '3'], unit: degC}
channels:
  - output: {full_scale: 1 V peak}
    input: {full_scale: 1 V peak}
    attenuator: {ratio: 50, rating: 100 V peak}
    load: {nominal: 8 ohm, rating: 200 W}
`);

const before = Object.getOwnPropertyDescriptor(process.stdin, 'isTTY');
const stdinIsTerminal = (value: boolean) =>
  Object.defineProperty(process.stdin, 'isTTY', { value, configurable: true });
beforeEach(() => void stdinIsTerminal(true));
afterEach(() => {
  if (before) Object.defineProperty(process.stdin, 'isTTY', before);
  else Reflect.deleteProperty(process.stdin, 'isTTY');
});

/** A person who gives that answer, with what was shown before the question and what was asked. */
function person(answer: boolean) {
  const [shown, asked]: [string[], Question[]] = [[], []];
  const terminal = {
    ...{ out: () => undefined, live: false, width: 80, talkWidth: 80, colour: false },
    err: (text: string) => void shown.push(text),
  };
  const operatorOf = () => ({
    confirm: async (question: Question) => {
      asked.push(question);
      return answer;
    },
    text: async () => '',
    close: () => undefined,
  });
  const ask = (given: Parameters<typeof consentTo>[2]) => consentTo(terminal, setup, given, operatorOf);
  return { ask, shown, asked };
}

it('a person at a terminal sees every program with its arguments before the question', async () => {
  const { ask, shown, asked } = person(true);
  expect((await ask({})).setup).toBe(setup);
  expect(asked).toEqual([MAY_PROGRAMS_RUN]);
  expect(shown.join('\n')).toMatch(/starts these programs:\n- .*'player' '\{stimulus\}' '\{response\}'/);
  expect(shown.join('\n')).toContain("'read-probe' '--port' '3'");
});

it('a no starts nothing and is bad input', async () => {
  await expect(person(false).ask({})).rejects.toThrow(ProgramsNotNamed);
});

it('nobody is asked where the command names the file', async () => {
  const { ask, asked } = person(false);
  expect((await ask({ benchTyped: true })).setup).toBe(setup);
  expect(asked).toEqual([]);
});

it.each([
  ['under a permit', true, { permit: 'p-234567' }],
  ['without a terminal', false, {}],
])('%s nobody can say yes', async (_, terminal, given) => {
  stdinIsTerminal(terminal);
  const { ask, asked } = person(true);
  await expect(ask(given)).rejects.toThrow(ProgramsNotNamed);
  expect(asked).toEqual([]);
});
