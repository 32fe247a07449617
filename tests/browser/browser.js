// SPDX-License-Identifier: GPL-3.0-or-later
//
// Opens pages in chromium and says what is wrong with them.
//
//     node browser.js FOLDER PAGE.html ...
//
// For each page: nothing on the console, nothing fetched, nothing cut or wider
// than a window of 320 pixels, what an accessibility checker finds, and the
// page as printed, left as FOLDER/PAGE.pdf for others to read. Prints "pass
// NAME" or "FAIL NAME" and why. Chromium is driven by its own protocol through
// two pipes, so that no package is needed for it.
'use strict';
const { spawn } = require('node:child_process');
const fs = require('node:fs');
const path = require('node:path');
const { pathToFileURL } = require('node:url');

const [folder, ...pages] = process.argv.slice(2);
const axePath = path.join(__dirname, 'node_modules/axe-core/axe.min.js');
const axe = fs.existsSync(axePath) ? fs.readFileSync(axePath, 'utf8') : null;

function say(good, name, why) {
	console.log(`${good ? 'pass' : 'FAIL'} ${name}`);
	if (!good)
		for (const line of [].concat(why))
			console.log(`    ${line}`);
}

// ---- the browser -----------------------------------------------------------

class Browser {
	constructor(program) {
		this.child = spawn(program, ['--headless=new', '--no-sandbox', '--disable-gpu',
		    '--no-first-run', '--disable-extensions', '--remote-debugging-pipe',
		    `--user-data-dir=${path.join(folder, 'profile')}`, 'about:blank'],
		    { stdio: ['ignore', 'ignore', 'ignore', 'pipe', 'pipe'] });
		this.out = this.child.stdio[3];
		this.waiting = new Map();
		this.hears = [];
		this.last = 0;
		let kept = Buffer.alloc(0);
		this.child.stdio[4].on('data', (part) => {
			kept = Buffer.concat([kept, part]);
			for (let end; (end = kept.indexOf(0)) >= 0; kept = kept.subarray(end + 1))
				this.heard(JSON.parse(kept.subarray(0, end).toString()));
		});
		this.child.on('error', (e) => { console.log(`FAIL chromium starts\n    ${e.message}`); process.exit(1); });
	}
	heard(m) {
		const w = this.waiting.get(m.id);
		if (w !== undefined) {
			this.waiting.delete(m.id);
			if (m.error)
				w.reject(new Error(m.error.message));
			else
				w.resolve(m.result);
		} else {
			for (const h of this.hears)
				h(m);
		}
	}
	ask(method, params = {}, sessionId = undefined) {
		const id = ++this.last;
		this.out.write(JSON.stringify({ id, method, params, sessionId }) + '\0');
		return new Promise((resolve, reject) => this.waiting.set(id, { resolve, reject }));
	}
	end() {
		this.child.kill();
	}
}

class Tab {
	static async open(browser) {
		const t = new Tab();
		const { targetId } = await browser.ask('Target.createTarget', { url: 'about:blank' });
		const { sessionId } = await browser.ask('Target.attachToTarget', { targetId, flatten: true });
		t.ask = (method, params) => browser.ask(method, params, sessionId);
		t.close = () => browser.ask('Target.closeTarget', { targetId });
		t.messages = [];
		t.fetched = [];
		browser.hears.push((m) => {
			if (m.sessionId !== sessionId)
				return;
			if (m.method === 'Runtime.consoleAPICalled')
				t.messages.push(m.params.args.map((a) => a.value ?? a.description).join(' '));
			else if (m.method === 'Runtime.exceptionThrown')
				t.messages.push(m.params.exceptionDetails.text);
			else if (m.method === 'Log.entryAdded')
				t.messages.push(m.params.entry.text);
			else if (m.method === 'Network.requestWillBeSent')
				t.fetched.push(m.params.request.url);
			else if (m.method === 'Page.loadEventFired' && t.loaded)
				t.loaded();
		});
		for (const part of ['Page', 'Runtime', 'Log', 'Network'])
			await t.ask(`${part}.enable`);
		return t;
	}
	async go(url) {
		const done = new Promise((resolve) => { this.loaded = resolve; });
		await this.ask('Page.navigate', { url });
		await done;
	}
	async run(expression) {
		const r = await this.ask('Runtime.evaluate',
		    { expression, awaitPromise: true, returnByValue: true });
		if (r.exceptionDetails)
			throw new Error(r.exceptionDetails.exception?.description ?? r.exceptionDetails.text);
		return r.result.value;
	}
	wide(width) {
		return this.ask('Emulation.setDeviceMetricsOverride',
		    { width, height: 900, deviceScaleFactor: 1, mobile: false });
	}
}

// ---- what is looked at (run inside the page) ----------------------------------

// Elements that reach beyond the window, but for those inside a frame that scrolls.
function cut() {
	const bad = [];
	const root = document.documentElement;
	if (root.scrollWidth > root.clientWidth)
		bad.push(`the page is ${root.scrollWidth} wide in a window of ${root.clientWidth}`);
	for (const e of document.body.querySelectorAll('*')) {
		const r = e.getBoundingClientRect();
		const frame = e.closest('[tabindex]');
		if (r.width > 0 && (r.right > root.clientWidth + 1 || r.left < -1) &&
		    (frame === null || frame === e))
			bad.push(`<${e.localName}> runs to ${r.right}: ${e.textContent.slice(0, 40)}`);
		if (e !== frame && e.scrollWidth > e.clientWidth + 1 && getComputedStyle(e).overflowX === 'hidden')
			bad.push(`<${e.localName}> hides part of: ${e.textContent.slice(0, 40)}`);
	}
	return bad.slice(0, 5);
}

// What a page of ours must have, axe or no axe.
function meaning() {
	const bad = [];
	const all = (s) => [...document.querySelectorAll(s)];
	if (!document.documentElement.lang)
		bad.push('no language');
	if (!document.title.trim())
		bad.push('no title');
	if (all('h1').length !== 1)
		bad.push(`${all('h1').length} first headings`);
	let level = 0;
	for (const h of all('h1,h2,h3,h4,h5,h6')) {
		const n = Number(h.localName[1]);
		if (n > level + 1)
			bad.push(`a heading skips a level: ${h.textContent}`);
		level = n;
	}
	if (all('script,link,img,iframe,object,embed,[src],[onclick]').length)
		bad.push('something that runs or is fetched');
	for (const t of all('table')) {
		if (!t.tHead || t.tHead.rows.length !== 1)
			bad.push('a table without a head');
		for (const h of t.querySelectorAll('th'))
			if (!h.scope)
				bad.push(`a header without scope: ${h.textContent}`);
	}
	for (const s of all('svg'))
		if (s.getAttribute('role') !== 'img' || !s.getAttribute('aria-label') ||
		    !s.closest('figure')?.querySelector('figcaption')?.textContent.trim())
			bad.push('a drawing without words');
	const luminance = (c) => c.map((v) => v / 255)
	    .map((v) => v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4)
	    .reduce((sum, v, i) => sum + v * [0.2126, 0.7152, 0.0722][i], 0);
	for (const e of all('body *')) {
		if (e.closest('svg') || ![...e.childNodes].some((n) => n.nodeType === 3 && n.data.trim()))
			continue;
		const [r, g, b] = getComputedStyle(e).color.match(/\d+/g).map(Number);
		if (1.05 / (luminance([r, g, b]) + 0.05) < 7)
			bad.push(`too faint: ${e.textContent.slice(0, 40)}`);
	}
	return bad.slice(0, 8);
}

const axeRun = `axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa',
    'best-practice'] }).then((r) => r.violations.map((v) => v.id + ': ' + v.help + ' (' +
    v.nodes.length + '): ' + v.nodes[0].html.slice(0, 120)))`;

// ---- all pages -----------------------------------------------------------------

async function look(browser, file) {
	const name = path.basename(file, '.html');
	const tab = await Tab.open(browser);
	const url = pathToFileURL(path.resolve(file)).href;
	await tab.wide(1280);
	await tab.go(url);
	const wrong = await tab.run(`(${meaning})()`);
	say(wrong.length === 0, `${name}: headings, tables, drawings, contrast`, wrong);
	for (const width of [1280, 320]) {
		await tab.wide(width);
		const bad = await tab.run(`(${cut})()`);
		say(bad.length === 0, `${name}: nothing is cut at ${width} pixels`, bad);
		if (axe === null)
			continue;
		await tab.run(axe);
		const found = await tab.run(axeRun);
		say(found.length === 0, `${name}: the checker finds nothing at ${width} pixels`, found);
	}
	await tab.wide(1280);
	const { data } = await tab.ask('Page.printToPDF', { preferCSSPageSize: true, printBackground: true });
	fs.writeFileSync(path.join(folder, `${name}.pdf`), Buffer.from(data, 'base64'));
	say(tab.messages.length === 0, `${name}: nothing on the console`, tab.messages);
	const fetched = tab.fetched.filter((f) => f !== url);
	say(fetched.length === 0, `${name}: nothing is fetched`, fetched);
	await tab.close();
}

(async () => {
	const browser = new Browser(process.env.CHROMIUM || 'chromium');
	const limit = setTimeout(() => { console.log('FAIL the browser answers in time'); browser.end(); process.exit(1); },
	    240000);
	try {
		for (const file of pages)
			await look(browser, file);
	} catch (e) {
		console.log(`FAIL the browser does what it is asked\n    ${e.message}`);
	}
	clearTimeout(limit);
	browser.end();
})();
