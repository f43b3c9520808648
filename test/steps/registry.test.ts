/*
 * A kind of step that somebody adds must be answered for by every registry before the program compiles, and by every part of an
 * answer. Shown by the compiler itself, on the sources with an invented kind in the list of kinds.
 */
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { planOfKind } from '../../src/sequence/plan.js';
import { STEP_KINDS } from '../../src/sequence/step-base.js';
import { PLANS } from '../../src/steps/plans.js';
import { complaints } from '../compiler.js';

const KINDS_FILE = 'src/sequence/step-base.ts';
const REGISTRIES = ['src/steps/plans.ts', 'src/steps/plays.ts', 'src/steps/shows.ts'];

/** A kind with every answer. */
const WHOLE = `
import { z } from 'zod';
import { HELD, type HeldStep, heldFields } from '../sequence/lay-out-held.js';
import type { StepPlan } from '../sequence/step-plan.js';
interface InventedStep extends HeldStep { readonly kind: 'hold' }
const schema = z.strictObject(heldFields);
export const INVENTED: StepPlan<z.output<typeof schema>, InventedStep> = {
  ...HELD, kind: 'hold', schema, layOut: () => null, resumes: 'here', afterBreak: 'nothing', rates: 'burst', passes: 'each',
};
`;

describe('an invented kind of step', () => {
  it('is refused by every registry until it is answered for', { timeout: 120_000 }, async () => {
    const kinds = readFileSync(fileURLToPath(new URL(`../../${KINDS_FILE}`, import.meta.url)), 'utf8');
    const invented = kinds.replace("'warm-up']", "'warm-up', 'burst']");
    expect(invented).toContain("'burst'");
    const said = await complaints({ [KINDS_FILE]: invented });
    for (const registry of REGISTRIES)
      expect(said.filter((line) => line.startsWith(`${registry}(`)).join('\n')).toMatch(/burst/);
  });

  it('compiles with every answer, and with none of them left out', { timeout: 120_000 }, async () => {
    const answers = ['resumes', 'afterBreak', 'rates', 'passes'];
    const without = answers.map((answer) => [
      `src/steps/no-${answer}.ts`,
      WHOLE.replace(new RegExp(`${answer}: '[^']*',`), ''),
    ]);
    // What has a level and claims to put out no signal would pass by checklist and ratings.
    const silent = WHOLE.replace('...HELD,', "...HELD, needs: 'loads' as const,");
    const said = await complaints({
      'src/steps/whole.ts': WHOLE,
      'src/steps/silent.ts': silent,
      ...Object.fromEntries(without),
    });
    const of = (name: string) => said.filter((line) => line.startsWith(`src/steps/${name}.ts(`)).join('\n');
    for (const answer of answers) expect(of(`no-${answer}`)).toContain(answer);
    expect(of('silent')).toContain(`'"loads"' is not assignable to type '"signal"'`);
    expect(of('whole')).toBe('');
    expect(said).toHaveLength(answers.length + 1);
  });
});

describe('the registry of kinds', () => {
  it.each(STEP_KINDS)('has %s under its own name', (kind) => {
    const plan = planOfKind(kind);
    expect(PLANS[kind].kind).toBe(kind);
    // What puts out no signal has no power to rate.
    if (plan.needs !== 'signal') expect(plan.rates).toBe('none');
    if (plan.short !== null) expect(Object.keys(plan.schema.shape)).toContain(plan.short);
  });

  it('rates what can stand for ever as continuous, and nothing that a warm-up reads', () => {
    const rates = STEP_KINDS.map((kind) => [kind, planOfKind(kind).rates]);
    expect(Object.fromEntries(rates)).toEqual({
      ...{ ask: 'none', rest: 'none', quiet: 'none', 'warm-up': 'none' },
      ...{ climb: 'continuous', sweep: 'continuous', 'max-power': 'continuous', hold: 'continuous' },
    });
  });
});
