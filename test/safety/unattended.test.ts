import { describe, expect, it } from 'vitest';
import { neededVisits, openingQuestions } from '../../src/safety/unattended.js';
import { planOf, stand } from './stand.js';

const CLIMB = 'climb: {id: up, frequency: 1 kHz, from: 1 W}';

describe('neededVisits', () => {
  it('is empty when everything can be set up before the first tone', () => {
    expect(
      neededVisits(planOf(CLIMB, 'rest: 10 s', 'sweep: {level: 1 W, frequencies: [100 Hz, 1 kHz]}'), stand),
    ).toEqual([]);
  });

  it('names questions on the way, but not those that are answered before anything happens', () => {
    const plan = planOf('ask: Is the fan on?', CLIMB, 'ask: Is it warm?');
    expect(openingQuestions(plan).map(({ text }) => text)).toEqual(['Is the fan on?']);
    expect(neededVisits(plan, stand)).toEqual([{ step: 'ask-3', text: 'Is it warm?' }]);
  });

  it('names steps that need another load', () => {
    const visits = neededVisits(
      planOf(
        CLIMB,
        'climb: {id: low, load: 4 ohm, frequency: 1 kHz, from: 1 W}',
        CLIMB.replace('up', 'again'),
      ),
      stand,
    );
    expect(visits.map(({ step }) => step)).toEqual(['low', 'again']);
    expect(visits[0]!.text).toMatch(/Connect 4 ohm .* in place of 8 ohm/);
  });
});
