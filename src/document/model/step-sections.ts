import type { Finding } from '../../record/finding.js';
import type { StepKindName } from '../../sequence/step-base.js';
import { SHOWS } from '../../steps/shows.js';
import type { Section } from './block.js';
import type { ChartGround } from './charts/chart-ground.js';

/** What the steps of a run show, kind by kind in the order of the registry. */
export const stepSections = (ground: ChartGround, findings: readonly Finding[]): Section[] =>
  (Object.keys(SHOWS) as StepKindName[]).flatMap((kind) =>
    SHOWS[kind]({ ...ground, findings: findings.filter(({ setting }) => setting.step_kind === kind) }),
  );
