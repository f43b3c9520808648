import type { Finding } from '../../record/finding.js';
import { isStepKind, STEP_KINDS } from '../../sequence/step-kind.js';
import { SHOWS } from '../../steps/shows.js';
import type { Section } from './block.js';
import type { ChartGround } from './charts/chart-ground.js';
import { groupsBy } from './finding-groups.js';
import { findingsTable } from './findings-table.js';

/** What the steps of a run show, kind by kind, those of kinds that this version does not know last. */
export function stepSections(ground: ChartGround, findings: readonly Finding[]): Section[] {
  const kinds = Object.keys(SHOWS) as (keyof typeof SHOWS)[];
  return [
    ...kinds.flatMap((kind) =>
      SHOWS[kind]({ ...ground, findings: findings.filter(({ setting }) => setting.step_kind === kind) }),
    ),
    ...groupsBy(
      findings.filter(({ setting }) => !isStepKind(setting.step_kind)),
      ({ setting }) => setting.step_kind,
    ).map(unknownSection),
  ];
}

/** Findings of a kind of step that a later version brought: listed, and never drawn a conclusion from. */
const unknownSection = (findings: readonly Finding[], i: number): Section => ({
  id: `unknown-${i + 1}`,
  title: `Steps of an unknown kind: ${findings[0]!.setting.step_kind}`,
  blocks: [
    {
      kind: 'text',
      look: 'warning',
      text: `This version does not know this kind of step (it knows ${STEP_KINDS.join(', ')}). Its figures are listed as they are and count towards no rating or verdict.`,
    },
    { kind: 'table', ...findingsTable('Figures of an unknown kind of step', findings) },
  ],
});
