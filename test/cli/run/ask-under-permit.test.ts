import { expect, it } from 'vitest';
import { askUnderPermit } from '../../../src/cli/run/use-permit.js';
import { stillSo } from '../../../src/safety/question.js';

const ask = () =>
  askUnderPermit({ checklist: ['Fan on?', 'Connect 8 ohm.'].map((item) => ({ item, answer: 'yes' })) });
const sequence = (text: string) => ({ about: 'sequence', text }) as const;
const setUp = (text: string) => ({ about: 'set-up', text }) as const;

it('a signed question is answered once, and no other', async () => {
  const answer = ask();
  expect(await answer(sequence('Fan on?'))).toBe(true);
  expect(await answer(sequence('Fan on?'))).toBe('nobody');
  expect(await answer(sequence('Fan warm?'))).toBe('nobody');
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
  expect(await ask()(stillSo(['Fan on?', 'Fan warm?']))).toBe('nobody');
  for (const about of ['change', 'correction', 'cause', 'checklist', 'programs'] as const)
    expect(await ask()({ about, text: 'Fan on?' })).toBe('nobody');
});
