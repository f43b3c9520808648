/** What a comparison's page has beyond that of one run. */
export const COMPARISON_STYLE = `
.lead~.lead{margin-top:8px}
.whole{white-space:nowrap}
.key em{font-style:normal;color:var(--soft)}
.key li{min-width:0}
.key svg{flex:none}
.differences tbody{border-bottom:1px solid var(--soft)}
.differences tbody th small{display:block;color:var(--soft);font-size:12px}
.differences th[scope=row]{white-space:nowrap;min-width:0}
.differences tbody tr:not(:last-child)>*:not([rowspan]){border-bottom-color:transparent}
.remarks{margin:-16px 0 26px;padding:0;list-style:none;font-size:13px;color:var(--soft)}
td,tbody th{overflow-wrap:break-word}
bdi{overflow-wrap:anywhere}
.shared dt{margin-top:10px;font-weight:600}
.shared dd{margin:2px 0 0;font-size:13px;color:var(--soft)}
.shared dd span{display:inline-block;margin-right:18px}
@media print{.differences tbody{break-inside:avoid}}
`;
