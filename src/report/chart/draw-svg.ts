import { LineChart, ScatterChart } from 'echarts/charts';
import { GridComponent, MarkAreaComponent, MarkLineComponent } from 'echarts/components';
import { type EChartsCoreOption, init, use } from 'echarts/core';
import { SVGRenderer } from 'echarts/renderers';
import { escapeHtml } from '../markup.js';
import { standIn, themed } from './palette.js';

use([LineChart, ScatterChart, GridComponent, MarkAreaComponent, MarkLineComponent, SVGRenderer]);

export interface Drawing {
  /** What a screen reader says in place of the picture. */
  readonly name: string;
  /** Unique in the page; letters, digits and hyphens. */
  readonly id: string;
  readonly width: number;
  readonly height: number;
  /** Option of the chart library, coloured with stand-ins (palette.ts). */
  readonly option: EChartsCoreOption;
  /** What a pointer resting on a marker shows, by series and position; null for nothing. */
  readonly hint: (series: number, item: number) => string | null;
}

/**
 * Draws a chart as an SVG element for a page: without script, style sheet, fixed size or outside reference,
 * coloured by the page's CSS variables, the same text each time.
 */
export function drawSvg({ id, name, width, height, option, hint }: Drawing): string {
  const chart = init(null, null, { renderer: 'svg', ssr: true, width, height });
  try {
    chart.setOption({ animation: false, color: [standIn('ink')], ...option });
    return themed(withHints(bare(chart.renderToSVGString(), id, name), hint));
  } finally {
    chart.dispose();
  }
}

/** Leaves out what the drawing library adds for its own script, and makes its running numbers those of the page. */
function bare(svg: string, id: string, name: string): string {
  return svg
    .replace(/<style[\s\S]*?<\/style>/g, '')
    .replace(/ (class|pointer-events|ecmeta_ssr_type|ecmeta_silent)="[^"]*"/g, '')
    .replace(/font-family:[^;"]*;?/g, '')
    .replace(/zr\d+-/g, `${id}-`)
    .replace(/<rect [^>]*fill="none"><\/rect>\n/, '')
    .replace(/\n+/g, '\n')
    .replace(
      /^<svg[^>]*?(viewBox="[^"]*")[^>]*>/,
      (_, viewBox: string) =>
        `<svg xmlns="http://www.w3.org/2000/svg" ${viewBox} role="img" aria-label="${escapeHtml(name)}">`,
    );
}

const MARK = /(<path [^>]*?) ecmeta_series_index="(\d+)"(?: ecmeta_data_index="(\d+)")?([^>]*>)<\/path>/g;

function withHints(svg: string, hint: Drawing['hint']): string {
  return svg.replace(MARK, (_, open: string, series: string, item: string | undefined, rest: string) => {
    const text = item === undefined ? null : hint(Number(series), Number(item));
    return `${open}${rest}${text === null ? '' : `<title>${escapeHtml(text)}</title>`}</path>`;
  });
}
