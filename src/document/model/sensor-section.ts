import type { Block, Section } from './block.js';
import { sensorCharts } from './charts/sensor-chart.js';
import type { Ground } from './ground.js';
import { sensorRows } from './sensor-rows.js';

/** What was sampled beside the signal; nothing where nothing was. */
export function sensorSection(ground: Ground): Section[] {
  const rows = sensorRows(ground.record);
  if (rows.length === 0) return [];
  const names = ['First', 'Lowest', 'Highest', 'Last', 'Samples', 'Without a value'];
  return [
    {
      id: 'sensors',
      title: 'Sensors, sampled beside the signal',
      blocks: [
        ...sensorCharts(ground).map((chart): Block => ({ kind: 'chart', page_only: true, ...chart })),
        {
          kind: 'table',
          title: 'Sensors, sampled beside the signal',
          columns: [{ name: 'Sensor' }, ...names.map((name) => ({ name, figures: true }))],
          rows: rows.map(({ name, first, least, most, last, samples, missing }) => [
            name,
            first,
            least,
            most,
            last,
            String(samples),
            String(missing),
          ]),
        },
      ],
    },
  ];
}
