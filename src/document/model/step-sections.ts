import type { Finding } from '../../record/finding.js';
import { findingsOf } from '../../record/findings-of.js';
import type { StepKindName } from '../../sequence/step-base.js';
import { SHOWS } from '../../steps/shows.js';
import type { Block, Chart, Section } from './block.js';
import type { ChartGround } from './charts/chart-ground.js';
import { sensorCharts } from './charts/sensor-chart.js';
import { capital } from './wording.js';

/**
 * What the steps of a run show, kind by kind in the order of the registry. Sections with a picture lead: a table of one
 * or two rows says less than the curve that it belongs to.
 */
export function stepSections(ground: ChartGround, findings: readonly Finding[]): Section[] {
  const sections = (Object.keys(SHOWS) as StepKindName[]).flatMap((kind) =>
    SHOWS[kind]({ ...ground, findings: findings.filter(({ setting }) => setting.step_kind === kind) }),
  );
  const drawn = sections.filter(({ blocks }) => blocks.some(({ kind }) => kind === 'chart'));
  const others = sections.filter((section) => !drawn.includes(section));
  return [...drawn, ...others].map((section) => ({ ...section, blocks: section.blocks.map(under(section)) }));
}

/** The title of a chart or a table does not repeat that of its section. */
const under =
  ({ id, title: heading }: Section) =>
  (block: Block): Block => {
    if ((block.kind !== 'chart' && block.kind !== 'table') || !block.title.startsWith(`${heading}: `))
      return block;
    const title = capital(block.title.slice(heading.length + 2));
    return block.kind === 'chart' ? { ...block, title, below: id } : { ...block, title };
  };

/** All charts of a run: those of its steps, kind by kind, and those of its sensors. */
export const runCharts = (ground: ChartGround): Chart[] => [
  ...stepSections(ground, findingsOf(ground.record)).flatMap(({ blocks }) => chartsIn(blocks)),
  ...sensorCharts(ground),
];

const chartsIn = (blocks: readonly Block[]): Chart[] =>
  blocks.flatMap((block) => {
    if (block.kind === 'chart') return [block];
    return block.kind === 'details' ? chartsIn(block.blocks) : [];
  });
