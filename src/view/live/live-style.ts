/** The style of the live page beyond that of all pages: its grid, its drawing, and the stop button always in reach. */
export const LIVE_STYLE = `
header,main,footer{max-width:1480px}
h2{margin:0 0 10px;font-size:18px}
.aside{margin:0;font-size:13px;color:var(--soft)}
.state{margin:12px 0 0;font:clamp(17px,1.7vw,20px)/1.5 var(--book)}
.outcome p{margin:0}
.question .over{padding:0;border:0}
.question .how{margin-top:4px;font-weight:400}
.ended{margin-top:16px}
.typed{margin:6px 0 0;padding:0;list-style:none}
.typed code{display:inline-block;padding:3px 0;user-select:all}
.typed span{color:var(--soft);font-size:13px}
.walk{display:flex;flex-wrap:wrap;gap:12px 28px;align-items:center;margin-top:20px}
.gone{flex:1 1 220px;min-width:0}
.gone .aside{display:flex;justify-content:space-between;gap:12px;font-variant-numeric:tabular-nums}
progress{display:block;width:100%;height:8px;margin:0 0 6px;appearance:none;border:1px solid var(--soft);background:var(--paper)}
progress::-webkit-progress-bar{background:var(--paper)}
progress::-webkit-progress-value{background:var(--ink)}
progress::-moz-progress-bar{background:var(--ink)}
button.stop{background:var(--ink);color:var(--paper);border-color:var(--ink);min-height:46px;padding:9px 22px}
button.stop:disabled{background:var(--paper);color:var(--soft);border-color:var(--grid)}
.keys{grid-template-columns:repeat(auto-fit,minmax(150px,1fr));margin-top:22px}
.keys dd{font-size:clamp(26px,3.4vw,44px)}
.live,.column{display:grid;gap:40px 44px;grid-template-columns:minmax(0,1fr);align-content:start}
.live{margin-top:36px}
.panels{min-width:0;margin-top:6px}
.panels h3{margin:12px 0 0}
.panels svg{display:block;width:100%;overflow:visible;font-family:var(--text);font-variant-numeric:tabular-nums}
.readings table{min-width:20em}
.readings :is(td,tbody th){min-width:0}
.found table{min-width:26em}
.found{margin:0;max-width:none;color:inherit}
.found td small{display:block;color:var(--soft)}
.live .scroll,.remarks:empty{margin:0}
.remarks,.armed ul{padding-left:1.2em;font-size:13px}
.remarks:not(:empty){margin:10px 0 0}
.armed ul{margin:0;font-size:14px}
.armed li{margin:0 0 6px}
.plan ol,.events ol{margin:0;padding:0;list-style:none;font-size:14px;max-height:24em;overflow:auto}
.plan li{display:grid;grid-template-columns:3.6em minmax(0,1fr);gap:0 10px;padding:5px 8px;border-left:4px solid transparent;border-bottom:1px solid var(--grid)}
.plan li>.stage{font-size:13px;color:var(--soft)}
.plan li.now{border-left-color:var(--ink);font-weight:600}
.plan li.now>.stage{color:var(--ink)}
.plan li>span:last-child{grid-column:2;font-weight:400}
.events li{display:grid;grid-template-columns:4.4em minmax(0,1fr);gap:0 10px;padding:5px 8px 5px 0;border-bottom:1px solid var(--grid)}
.events time{font-size:13px;color:var(--soft);font-variant-numeric:tabular-nums}
dialog{max-width:32em;color:var(--ink);background:var(--paper);border:2px solid var(--ink);padding:22px 26px}
dialog::backdrop{background:rgb(0 0 0/.5)}
.choice{display:flex;flex-wrap:wrap;gap:10px;margin:20px 0 0}
@media (max-width:699px){.walk{position:sticky;top:0;z-index:1;background:var(--paper);padding:10px 0;border-bottom:1px solid var(--grid)}
body{padding:20px 16px 0}
header{display:contents}
main,footer{padding-left:0;padding-right:0}
.gone{flex-basis:150px}
.readings :is(th,td){padding-right:12px}
.found table,.found :is(td,tbody th){min-width:0}
.found :is(th,td):not(:last-child){padding-right:10px}
.gone .aside{flex-wrap:wrap;gap:0 12px}
.keys{grid-template-columns:repeat(2,minmax(0,1fr));gap:16px 20px}}
@media (min-width:1000px){.live{grid-template-columns:minmax(0,1.75fr) minmax(0,1fr)}}
`;
