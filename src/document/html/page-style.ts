import { DARK, declarations, LIGHT } from '../chart/palette.js';

/** The style sheet of a report: a data sheet on screen and on paper, light or dark as the reader's system is. */
export const PAGE_STYLE = `
:root{color-scheme:light dark;${declarations(LIGHT)};
--shade:color-mix(in srgb,var(--ink) 24%,transparent);
--text:system-ui,-apple-system,"Segoe UI",Roboto,"Helvetica Neue",sans-serif;
--book:Charter,"Bitstream Charter","Iowan Old Style","Palatino Linotype",Georgia,serif;
--code:ui-monospace,"SF Mono",Menlo,Consolas,monospace}
@media (prefers-color-scheme:dark){:root{${declarations(DARK)}}}
*{box-sizing:border-box}
html{-webkit-text-size-adjust:100%}
body{margin:0;background:var(--paper);color:var(--ink);font:15px/1.5 var(--text);overflow-wrap:anywhere}
header,main,footer{max-width:1160px;margin:0 auto;padding:0 clamp(16px,3.4vw,40px)}
header{padding-top:clamp(24px,4vw,52px)}
.over{margin:0;padding-bottom:8px;border-bottom:2px solid var(--ink);display:flex;flex-wrap:wrap;gap:2px 18px;
justify-content:space-between;font-size:13px;color:var(--soft)}
h1{margin:22px 0 0;font:600 clamp(24px,3.2vw,36px)/1.18 var(--book);letter-spacing:-.01em;text-wrap:balance}
.lead{margin:16px 0 0;max-width:58ch;font:clamp(18px,2vw,24px)/1.4 var(--book);text-wrap:pretty}
.lead b{font-weight:600}
.outcome{margin:20px 0 0;padding:10px 14px;border:1px solid var(--ink);border-left-width:6px;font-weight:600}
.verdict{margin:16px 0 0;max-width:72ch;font:600 clamp(16px,1.5vw,18px)/1.5 var(--book)}
.keys{display:grid;grid-template-columns:repeat(auto-fit,minmax(140px,1fr));gap:18px 28px;margin:30px 0 0;padding:0}
.keys div{border-top:1px solid var(--ink);padding-top:8px}
.keys dt{font-size:13px;color:var(--soft)}
.keys dd{margin:2px 0 0;font:600 clamp(22px,2.4vw,29px)/1.15 var(--book);font-variant-numeric:lining-nums tabular-nums}
.keys dd small{display:block;margin-top:3px;font:400 13px/1.4 var(--text);color:var(--soft)}
h2{margin:54px 0 14px;padding-bottom:6px;border-bottom:1px solid var(--ink);font:600 21px/1.25 var(--book)}
h3{margin:0 0 6px;font:600 15px/1.35 var(--text);text-wrap:balance}
.figures{display:grid;grid-auto-flow:dense;column-gap:36px;grid-template-columns:minmax(0,1fr);margin-top:38px}
figure{margin:0 0 38px;min-width:0;break-inside:avoid}
.figures:last-child{margin-bottom:-38px}
.plot{container-type:inline-size}
figcaption{margin-top:6px;font-size:13px;color:var(--soft);max-width:80ch}
.notes{margin:10px 0 0;padding-left:2em;max-width:100ch}
.notes li{margin:0 0 4px}
.notes b{color:var(--ink);font-weight:600}
.small+.scroll{margin-top:22px}
.small{margin:8px 0 0;font-size:13px;color:var(--soft);max-width:100ch}
.scroll+.small{margin:-18px 0 26px}
header p:not([class]){max-width:80ch;color:var(--soft)}
.plot svg{display:block;width:100%;height:auto;overflow:visible;font-family:var(--text);font-variant-numeric:tabular-nums}
.plot>div{display:none}
.plot>div svg{touch-action:pan-y pinch-zoom}
.plot:focus-visible{outline:2px solid var(--line1);outline-offset:1px}
.readout{margin:6px 0 0;font-size:13px;line-height:1.45;color:var(--soft)}
.plot{position:relative}
.covers .readout{position:absolute;top:100%;left:0;right:0;z-index:1;background:var(--paper);padding-bottom:4px}
.covers .readout:empty{padding:0}
.reads .readout{color:var(--ink)}
.ring{display:none;fill:none;stroke:var(--ink);stroke-width:2;pointer-events:none}
.reads .ring{display:inline}
.plot>.narrow{display:block}
@container (min-width:430px){.plot>.narrow{display:none}.plot>.middle{display:block}}
@container (min-width:680px){.full .plot>.middle{display:none}.plot>.wide{display:block}}
.key{display:flex;flex-wrap:wrap;gap:2px 20px;margin:0 0 4px;padding:0;list-style:none;font-size:13px}
.key li{display:flex;align-items:center;gap:7px}
.scroll{overflow-x:auto;container-type:inline-size;margin:0 0 26px;overflow-wrap:normal;
background:linear-gradient(90deg,var(--paper) 40%,transparent) 0 0/40px 100% no-repeat local,
linear-gradient(270deg,var(--paper) 40%,transparent) 100% 0/40px 100% no-repeat local,
linear-gradient(90deg,var(--shade),transparent) 0 0/18px 100% no-repeat,
linear-gradient(270deg,var(--shade),transparent) 100% 0/18px 100% no-repeat}
.scroll:focus-visible,summary:focus-visible,pre:focus-visible{outline:2px solid var(--line1);outline-offset:3px}
table{width:100%;border-collapse:collapse;font-size:14px;font-variant-numeric:lining-nums tabular-nums}
caption{text-align:left;font-weight:600;padding:0 0 8px}
caption span{display:inline-block;position:sticky;left:0;max-width:100cqi}
th,td{padding:6px 18px 6px 0;text-align:left;vertical-align:baseline;border-bottom:1px solid var(--grid);font-weight:400}
th:last-child,td:last-child{padding-right:0}
td,tbody th{overflow-wrap:anywhere;min-width:6.5em}
.scroll table{min-width:46em}
[aria-labelledby=protocol] tbody th{min-width:9em}
thead th{border-bottom-color:var(--soft);color:var(--soft);font-size:13px;vertical-align:bottom}
.n{text-align:right}
td.n,tbody th.n{white-space:nowrap;min-width:0}
.pairs table{min-width:0}
.pairs tbody th{min-width:9.5em;color:var(--soft)}
.pairs thead{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%)}
.pairs td{width:100%}
.bad,.good{font-weight:600}
details{border-bottom:1px solid var(--grid)}
details[open]{padding-bottom:14px}
summary{padding:10px 0;cursor:pointer}
pre{margin:0;padding:12px 14px;max-height:34em;overflow:auto;border:1px solid var(--grid);font:13px/1.5 var(--code);
white-space:pre-wrap}
code{font-family:var(--code);font-size:.94em}
footer{margin-top:60px;padding-bottom:48px;font-size:13px;color:var(--soft)}
@media (min-width:960px),print{.figures{grid-template-columns:repeat(2,minmax(0,1fr))}.full{grid-column:1/-1}
figure{display:grid;grid-template:subgrid/minmax(0,1fr);grid-row:span 4;align-content:start}
h3{grid-row:1}.key{grid-row:2;align-content:start}.plot{grid-row:3}figcaption{grid-row:4}}
.many td small{display:block}
.unseen{position:absolute;width:1px;height:1px;margin:0;overflow:hidden;clip-path:inset(50%)}
@media print{
@page{margin:15mm}
:root{color-scheme:light;${declarations({ ...LIGHT, paper: '#ffffff' })}}
body{font-size:9.5pt}
header,main,footer{max-width:none;padding:0}
h1{margin-top:6px;font-size:20pt}
.lead{margin-top:8px;font-size:13pt;max-width:none}
.keys{margin-top:10px}
.keys dd{font-size:15pt}
.verdict{font-size:11pt;max-width:none}
h2{margin-top:18px;break-after:avoid}
.figures{column-gap:24px;margin-top:12px}
figure{margin-bottom:18px}
.figures:last-child{margin-bottom:-18px}
table{font-size:8.5pt}
thead th{font-size:8pt}
th,td{padding:3px 9px 3px 0}
td,tbody th,.scroll table{min-width:0}
td,tbody th{overflow-wrap:break-word}
.pairs td{overflow-wrap:anywhere}
.pairs tbody th{min-width:8em}
.many table{font-size:7pt}
.many th,.many td{padding-right:6px}
tr,.keys,.outcome,.short,.notes li{break-inside:avoid}
caption,thead,thead tr,summary{break-after:avoid}
thead{display:table-header-group}
.scroll{overflow:visible;container-type:normal;margin-bottom:18px;background:none}
caption span{position:static;max-width:none}
pre{max-height:none;padding:8px 0;border:0;font-size:7pt;line-height:1.35;columns:2;column-gap:24px;overflow:visible}
.paper::details-content{content-visibility:visible;display:block;height:auto}
.screen,.readout,.reads .ring{display:none}
}
`;
