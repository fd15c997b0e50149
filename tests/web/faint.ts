import type { Page } from 'playwright-core';

interface Faint {
  readonly words: string;
  readonly ratio: number;
}

/** WCAG 2.2, success criterion 1.4.6 (enhanced): at least 7 : 1. */
export const CONTRAST_LEAST = 7;

/**
 * Words on the page that stand out less than `least` from the nearest ground behind them, and how many words were looked at.
 * Relative luminance and contrast ratio as WCAG 2.2 defines them.
 */
export function faintWords(page: Page, least = CONTRAST_LEAST): Promise<{ looked: number; faint: Faint[] }> {
  return page.evaluate<{ looked: number; faint: Faint[] }>(
    `(() => {
      const parts = (colour) => colour.match(/[\\d.]+/g).map(Number);
      const light = ([r, g, b]) => {
        const linear = [r, g, b].map((part) => part / 255).map((part) => (part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4));
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2];
      };
      const groundOf = (element) => {
        for (let at = element; at; at = at.parentElement) {
          const ground = parts(getComputedStyle(at).backgroundColor);
          if (ground.length < 4 || ground[3] === 1) return ground;
        }
        throw new Error('no ground');
      };
      const faint = [];
      let looked = 0;
      const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
      while (walker.nextNode()) {
        const words = walker.currentNode.data.trim();
        const element = walker.currentNode.parentElement;
        if (words === '' || !element.checkVisibility({ visibilityProperty: true }) || element.closest('.only-heard, noscript, script')) continue;
        looked++;
        const [one, other] = [light(parts(getComputedStyle(element).color)), light(groundOf(element))];
        const ratio = (Math.max(one, other) + 0.05) / (Math.min(one, other) + 0.05);
        if (ratio < ${least}) faint.push({ words, ratio });
      }
      return { looked, faint };
    })()`,
  );
}
