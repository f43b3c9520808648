import { expect, it } from 'vitest';
import { askUnderPermit } from '../../../src/cli/run/use-permit.js';
import { stillSo } from '../../../src/safety/question.js';
import { planOf } from '../../safety/stand.js';

const PLAN = planOf('ask: Fan on?', 'ask: Door shut?', 'rest: 1 s', 'ask: Fan on?');
const ask = (from = 0) => {
  const items = ['Fan on?', 'Door shut?', 'Connect 8 ohm.', 'Fan warm?'];
  return askUnderPermit({ checklist: items.map((item) => ({ item, answer: 'yes' })) }, PLAN, from);
};
const sequence = (text: string) => ({ about: 'sequence', text }) as const;
const setUp = (text: string) => ({ about: 'set-up', text }) as const;

it('an opening question is answered where it stands, and no other: not the same one on the way, not what else was signed', async () => {
  const answer = ask();
  expect(await answer(sequence('Fan on?'))).toBe(true);
  expect(await answer(sequence('Fan warm?'))).toBe('nobody');
  expect(await answer(sequence('Door shut?'))).toBe(true);
  expect(await answer(sequence('Fan on?'))).toBe('nobody');
  expect(await ask(3)(sequence('Fan on?'))).toBe('nobody');
  expect(await ask(1)(sequence('Door shut?'))).toBe(true);
});

it('the signed connection is made, with all that is checked on it; another is not', async () => {
  const answer = ask();
  expect(await answer(setUp('Connect 8 ohm.'))).toBe(true);
  expect(await answer(setUp('Is it tight?'))).toBe(true);
  const resumed = ask();
  expect(await resumed(setUp('Connect 4 ohm.'))).toBe('nobody');
  expect(await resumed(setUp('Is it tight?'))).toBe('nobody');
});

it('after a break what was signed still holds, what a person confirmed on the way does not, and nothing else is answered', async () => {
  expect(await ask()(stillSo(['Fan on?']))).toBe(true);
  expect(await ask()(stillSo(['Fan on?', 'Is it quiet?']))).toBe('nobody');
  for (const about of ['change', 'correction', 'cause', 'checklist', 'programs'] as const)
    expect(await ask()({ about, text: 'Fan on?' })).toBe('nobody');
});
