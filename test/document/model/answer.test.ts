import { expect, test } from 'vitest';
import { leftOutNotes } from '../../../src/document/model/answer.js';
import { invented } from '../fixture.js';

test('what was left out is told in the words of the run', () => {
  const event = { at_s: 1, kind: 'note' as const, topic: 'sweep', text: 'band was left out on channel 2' };
  expect(leftOutNotes({ ...invented(), events: [event, { ...event, topic: 'gain' }] })).toEqual([event.text]);
});
