import { html } from '../../document/html/markup.js';
import type { Document } from '../local-route.js';
import { pageFrame } from '../page-frame.js';
import { FIRST_SCRIPT } from './client-code.js';
import { LIVE_STYLE } from './live-style.js';

/** The page as it comes: places with names, which its script fills from the stream of changes. */
export function livePage(base: string, token: string): Document {
  return pageFrame({
    title: 'ohmest: run in progress',
    over: ['Power amplifier measurement, as it goes', html`<span id="run"></span>`],
    header: HEADER,
    main: MAIN,
    footer:
      'Served by ohmest on this machine, for as long as the run lasts. Powers are continuous and per channel.',
    style: LIVE_STYLE,
    modules: [`${base}${FIRST_SCRIPT}`],
    script: UNREACHED,
    data: { base, token },
  });
}

/** The scripts of the page come from the run: when it ended before they did, this says so in their place. */
const UNREACHED = `
addEventListener('error', ({ target }) => {
  if (target.localName !== 'script') return;
  document.getElementById('unreached').hidden = false;
  document.getElementById('state').hidden = true;
}, true);
`;

const HEADER = html`<h1><bdi id="unit">Run in progress</bdi></h1>
<p class="state" id="state" role="status" aria-live="polite">Connecting to the run.</p>
<p class="outcome" id="unreached" role="alert" hidden>The run cannot be reached: it has ended, or too many are looking on already. Load this page again, or type <code>ohmest runs</code> to see the runs.</p>
<p class="outcome" id="lost" role="alert" hidden></p>
<div class="outcome question" id="question" role="alert" hidden><p class="over">The run waits for an answer</p><p id="asked"></p><p class="how">This page cannot answer. Answer in the terminal that the run was started in.</p></div>
<div class="ended" id="ended" hidden><p class="aside">To see what was found, type:</p><ul class="typed" id="typed"></ul></div>
<noscript><p class="outcome">This page needs scripts; those that it runs come from this machine only.</p></noscript>
<div class="walk" id="walk" hidden>
<div class="gone"><progress id="done" max="1" value="0" aria-label="Share of the plan that is done"></progress>
<p class="aside"><span id="percent"></span><span id="left"></span></p></div>
<button type="button" class="stop" id="stop" aria-describedby="stop-about">Stop the run</button>
<p class="aside" id="stop-about">Not an emergency stop: for that, cut the mains of the unit.</p>
</div>
<dl class="keys" id="keys" hidden></dl>`;

const MAIN = html`<div class="live" id="live" hidden>
<div class="column">
<section class="course" aria-labelledby="curve-title">
<h2 id="curve-title">Curve</h2>
<p class="aside" id="curve-about">Nothing was measured yet.</p>
<ul class="key" id="curve-key"></ul>
<div class="panels" id="panels"></div>
</section>
<section class="readings" aria-labelledby="readings-title">
<h2 id="readings-title">Latest readings</h2>
<p class="aside" id="readings-about"></p>
<div class="scroll" tabindex="0" role="region" aria-label="Table of the latest readings">
<table><thead><tr><th scope="col">Channel</th><th scope="col" class="n">Power</th><th scope="col" class="n">Voltage</th><th scope="col" class="n">THD+N</th><th scope="col">Remarks</th></tr></thead>
<tbody id="readings"></tbody></table></div>
<ul class="remarks" id="remarks"></ul>
</section>
<section class="found" aria-labelledby="found-title" id="found-section" hidden>
<h2 id="found-title">Found so far</h2>
<div class="scroll" tabindex="0" role="region" aria-label="Table of what was found so far">
<table><thead><tr><th scope="col">Figure</th><th scope="col">Where</th><th scope="col" class="n">Value</th></tr></thead>
<tbody id="found"></tbody></table></div>
</section>
</div>
<div class="column">
<section class="plan" aria-labelledby="plan-title">
<h2 id="plan-title">Plan</h2>
<ol id="steps" tabindex="0" role="list" aria-labelledby="plan-title"></ol>
</section>
<section class="events" aria-labelledby="events-title">
<h2 id="events-title">Events</h2>
<ol id="events" tabindex="0" role="list" aria-labelledby="events-title"></ol>
</section>
<section class="armed" aria-labelledby="armed-title">
<h2 id="armed-title">What ends the run at once</h2>
<ul id="armed"></ul>
</section>
</div>
</div>
<dialog id="confirm" aria-labelledby="confirm-title">
<h2 id="confirm-title">Stop the run?</h2>
<p>The output is ramped down now and the run ends. Completed points are kept, and the run can be resumed.</p>
<p class="choice"><button type="button" class="stop" id="stop-now">Ramp down and stop</button>
<button type="button" id="go-on">Continue the run</button></p>
</dialog>`;
