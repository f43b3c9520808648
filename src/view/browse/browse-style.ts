/** The bar above a report that leads back to the list. */
export const WAY_STYLE = `
.way{max-width:1160px;margin:0 auto;padding:14px clamp(16px,3.4vw,40px) 0;display:flex;flex-wrap:wrap;gap:4px 22px;font-size:14px}
.way a{color:var(--ink)}
.way a:first-child{margin-right:auto}
@media print{.way{display:none}}
`;

/** What the pages of the shelf need beyond the style of a report. */
export const BROWSE_STYLE = `
:is(h1,.pages,.search,.runs,.note) a{color:inherit}
h1 a{text-decoration:none}
.search{display:grid;grid-template-columns:repeat(auto-fill,minmax(140px,1fr));gap:12px 16px;margin:26px 0 34px;align-items:end}
.search label{display:grid;gap:3px;font-size:13px;color:var(--soft);min-width:0}
.search :is(select,input){width:100%;min-width:0;padding:0 8px}
.do{display:flex;gap:16px;align-items:center;margin:0}
.runs small{display:block;color:var(--soft);font-size:13px;line-height:1.45}
.runs :is(td,th){vertical-align:top;min-width:0}
.runs tbody th{font-weight:600;min-width:8em}
.runs .found{min-width:17em}
.runs .found p{margin:0 0 3px;font-size:14px;line-height:1.4}
.runs :is(.when,.how b,.how span){white-space:nowrap}
.runs .how{min-width:7em}
.scroll .runs{min-width:0}
.tick{display:inline-flex;min-width:32px;min-height:32px;align-items:flex-start}
.tick input{width:20px;height:20px;margin:0;accent-color:var(--line1)}
.pages{display:flex;flex-wrap:wrap;gap:4px 20px;margin:26px 0 0;padding-top:10px;border-top:1px solid var(--grid);font-size:14px}
.pages span:first-child{margin-right:auto;color:var(--soft)}
.pages [aria-disabled]{color:var(--soft)}
.note{margin:30px 0;max-width:64ch}
@media (max-width:760px){
.runs thead{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%)}
.runs,.runs tbody,.runs caption{display:block}
.runs tr{display:grid;grid-template-columns:34px minmax(0,1fr) auto;gap:2px 12px;padding:14px 0;border-bottom:1px solid var(--grid)}
.runs :is(td,tbody th){display:block;border:0;padding:0;text-align:left}
.runs :is(td,th):not(:first-child){grid-column:2/-1}
.runs tbody th:not(:first-child){grid-area:1/2}
.runs td:first-child{grid-row:1/span 3}
.runs td.number:not(:first-child){grid-area:1/3;white-space:nowrap}
.runs .number::before{content:"run "}
.runs .points::after{content:" points"}
}
@media print{.search,.pages,.do,.tick{display:none}}
`;
