import type { MqttClient } from 'mqtt';
import type { Browser, Page } from 'playwright-core';
import { JointView } from '../../edge/site/views/joint.ts';
import { SiteView } from '../../edge/site/views/site.ts';
import type { SumpView } from '../../edge/site/views/sump.ts';
import { ask, read } from '../support/api.ts';
import { type Course, degrees, mild, publishPast } from '../support/past.ts';
import { mqttClient } from '../support/probe.ts';
import { startService, type TestService } from '../support/service.ts';
import { openTab, PHONE, signIn, startBrowser, type Tab } from './browser.ts';

const HOUR_MS = 3_600_000;
export type Role = 'crew' | 'quality';

/** A real service with a real browser before it, and people of each role at it. */
export class Yard {
  readonly service: TestService;
  readonly nowMs = Date.now();
  readonly #browser: Browser;
  readonly #probes: MqttClient;
  readonly #tabs: Tab[] = [];

  private constructor(service: TestService, browser: Browser, probes: MqttClient) {
    this.service = service;
    this.#browser = browser;
    this.#probes = probes;
  }

  static async open(): Promise<Yard> {
    const [browser, service] = await Promise.all([startBrowser(), startService()]);
    return new Yard(service, browser, await mqttClient(service));
  }

  async [Symbol.asyncDispose](): Promise<void> {
    for (const tab of this.#tabs) await tab[Symbol.asyncDispose]();
    await this.#browser.close();
    await this.#probes.endAsync();
    await this.service[Symbol.asyncDispose]();
  }

  /** Uncaught errors and refusals by the content security policy, on any page. */
  get faults(): string[] {
    return this.#tabs.flatMap(({ faults }) => faults);
  }

  /** A phone at which somebody with that role is signed in. */
  async phone(role: Role, url = this.service.httpUrl): Promise<Page> {
    const tab = await openTab(this.#browser, PHONE);
    this.#tabs.push(tab);
    // What is not there by then will not come; a failure then names what was waited for.
    tab.page.setDefaultTimeout(10_000);
    await signIn(tab.page, url, this.service.roleTokens[role]);
    return tab.page;
  }

  at(hour: number): string {
    return new Date(this.nowMs + hour * HOUR_MS).toISOString();
  }

  async say(body: object, role: Role = 'crew'): Promise<void> {
    const response = await ask(this.service, '/api/entries', { method: 'POST', body, token: this.service.roleTokens[role] });
    if (response.status !== 201) throw new Error(`${JSON.stringify(body)}: ${await response.text()}`);
  }

  /** A joint with a probe of its own, which was heard from `fromHour` until now. */
  async joint(joint: string, more: { sump: string; label: string; part?: string }, fromHour: number, course: Course = mild) {
    const probe = `on-${joint}`;
    await this.say({ kind: 'probe.registered', probe, role: 'material' });
    await this.say({ kind: 'joint.added', joint, schedule: 'polyester-laminate', probes: [probe], ...more });
    await publishPast(this.#probes, probe, [degrees(course)], this.nowMs, fromHour, 0);
  }

  async signSurface(joint: string, hour: number): Promise<void> {
    await this.say({ kind: 'prep.signed', joint, at: this.at(hour), sanded: true, wiped: true, dry: true });
  }

  readJoint(joint: string): Promise<JointView> {
    return read(this.service, `/api/joints/${joint}`, JointView);
  }

  async readSump(name: string): Promise<SumpView | undefined> {
    return (await read(this.service, '/api/site', SiteView)).sumps.find(({ sump }) => sump === name);
  }
}

/** The sheet that lies over the page. */
export const sheet = (page: Page) => page.getByRole('dialog');

/** Says of a surface what its sheet asks. */
export async function tick(page: Page, ...words: readonly string[]): Promise<void> {
  for (const each of words) await sheet(page).getByText(each, { exact: true }).click();
}

/** Taps a button once for each time. */
export async function tap(page: Page, name: string, times = 1): Promise<void> {
  for (let each = 0; each < times; each++) await page.getByRole('button', { name, exact: true }).click();
}
