import { describe, expect, it } from 'vitest';
import { changePrompt } from '../../src/safety/change-prompt.js';
import { makePlan } from '../../src/sequence/make-plan.js';
import { isWired, type WiredStep } from '../../src/sequence/plan.js';
import { readSequence } from '../../src/sequence/sequence-file.js';
import { bench, chain, load } from '../sequence/bench-fixture.js';

/** Four channels with loads of 8 and 4 ohm; channel n reads through input `inputs[n - 1]`. */
const withInputs = (inputs: readonly number[]) =>
  bench(inputs.length, {
    channels: inputs.map((input, i) => chain(i + 1, { input, loads: [load(8), load(4)] })),
  });

/** What is asked before each step that needs loads. */
function prompts(inputs: readonly number[], ...steps: string[]): (string | null)[] {
  const text = `name: t\nload: 8 ohm\nsteps:\n${steps.map((step) => `  - ${step}\n`).join('')}`;
  const wired = makePlan(readSequence(text, 's.yaml'), withInputs(inputs)).steps.filter(isWired);
  return wired.map((step: WiredStep, i) => changePrompt(step, wired[i - 1] ?? null));
}

const CAUTION =
  'Measure that the outputs carry nothing before you touch them: supplies stay charged, and the loads may be hot enough to burn.';

describe('changePrompt', () => {
  it('names every channel that any step drives at first, without talk of hot loads, and then asks nothing', () => {
    expect(
      prompts(
        [1, 2, 3],
        'climb: {frequency: 1 kHz, driven: one}',
        'climb: {frequency: 1 kHz, driven: [1, 3]}',
        'climb: {frequency: 2 kHz, driven: one}',
      ),
    ).toEqual([
      "Switch the unit off. Connect 8 ohm to each of channels 1 and 3, with the tap of each at the load's own terminals. Switch the unit on again. Done?",
      null,
      null,
    ]);
  });

  it('names one channel as one', () => {
    expect(prompts([1], 'climb: {frequency: 1 kHz}')).toEqual([
      "Switch the unit off. Connect 8 ohm to channel 1, with its tap at the load's own terminals. Switch the unit on again. Done?",
    ]);
  });

  it('says which load goes in place of which, with cautions, to the channels that will get it', () => {
    expect(
      prompts([1, 2], 'climb: {frequency: 1 kHz}', 'climb: {frequency: 1 kHz, load: 4 ohm, driven: one}')[1],
    ).toBe(
      `Switch the unit off. ${CAUTION} Connect 4 ohm to channel 1 in place of 8 ohm, with its tap at the load's own terminals. Switch the unit on again. Done?`,
    );
  });

  it('asks for the mains alone when only that changes, and for the wall again', () => {
    const [first, raised, wall] = prompts(
      [1],
      'climb: {frequency: 1 kHz, mains: 120 V}',
      'climb: {frequency: 1 kHz, mains: 230 V}',
      'climb: {frequency: 1 kHz}',
    );
    const set = (volts: string) =>
      `Set the mains of the unit to ${volts} with a variable transformer that can carry it, within the range on the unit's nameplate, and check it with a meter; such a transformer does not isolate.`;
    expect(first).toContain(set('120 V'));
    expect(raised).toBe(`Switch the unit off. ${CAUTION} ${set('230 V')} Switch the unit on again. Done?`);
    expect(wall).toBe(
      `Switch the unit off. ${CAUTION} Take the variable transformer out: the unit runs on the mains of the wall. Switch the unit on again. Done?`,
    );
  });

  it('says which tap goes where when channels share inputs', () => {
    expect(prompts([1, 2, 1, 2], 'climb: {id: c, frequency: 1 kHz}')).toEqual([
      "Switch the unit off. Connect 8 ohm to each of channels 1 to 4. Put the taps at the load's own terminals: that of input 1 at channel 1 and that of input 2 at channel 2. Switch the unit on again. Done?",
      `Switch the unit off. ${CAUTION} Put the taps at the load's own terminals: that of input 1 at channel 3 and that of input 2 at channel 4. Switch the unit on again. Done?`,
    ]);
  });

  it('moves only the taps that must move', () => {
    // Input 2 is that of channel 2 alone: its tap stays where it is.
    expect(prompts([1, 2, 1], 'climb: {id: c, frequency: 1 kHz}')[1]).toBe(
      `Switch the unit off. ${CAUTION} Put the tap at the load's own terminals: that of input 1 at channel 3. Switch the unit on again. Done?`,
    );
  });

  it('names all taps again when the loads under them change', () => {
    const climbs = ['climb: {frequency: 1 kHz}', 'climb: {frequency: 1 kHz, load: 4 ohm}'];
    const [, , change] = prompts([1, 1], ...climbs);
    expect(change).toBe(
      `Switch the unit off. ${CAUTION} Connect 4 ohm to each of channels 1 and 2 in place of 8 ohm. Put the tap at the load's own terminals: that of input 1 at channel 2. Switch the unit on again. Done?`,
    );
  });

  it('names everything that a run which is taken up in the middle needs', () => {
    const text =
      'name: t\nload: 8 ohm\nmains: 230 V\nsteps:\n  - climb: {frequency: 1 kHz}\n  - climb: {frequency: 2 kHz}\n';
    const [, second] = makePlan(readSequence(text, 's.yaml'), withInputs([1, 2])).steps as WiredStep[];
    expect(changePrompt(second!, null)).toContain('Connect 8 ohm to each of channels 1 and 2');
    expect(changePrompt(second!, null)).toContain('Set the mains of the unit to 230 V');
  });
});
