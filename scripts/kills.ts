/** `npm run kills [NUMBER] [SEED]`: kills that many runs at random instants and says what became of them. */
import { killCampaign } from './kill-campaign.js';

const [kills = 50, seed = 1] = process.argv.slice(2).map(Number);
const begun_ms = performance.now();
console.log('lines of the log when killed, points stored, found, and once gone on with');
const killed = await killCampaign({
  kills,
  seed,
  parallel: 2,
  each: ({ instant: { lines, later_ms }, acknowledged, found, whole, faults }) => {
    const columns = [`${lines} + ${later_ms.toFixed(0)} ms`, acknowledged, found ?? 'no run', whole ?? ''];
    console.log(`${columns.map((text) => String(text).padStart(13)).join('')}   ${faults.join('; ')}`);
  },
});
const bad = killed.filter(({ faults }) => faults.length > 0);
const seconds = (performance.now() - begun_ms) / 1000;
console.log(`${kills} killed, ${bad.length} with a fault, in ${seconds.toFixed(0)} s`);
process.exitCode = bad.length > 0 ? 1 : 0;
