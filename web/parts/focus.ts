/** How long the live link may take to bring what was just put on record. */
const PATIENCE_MS = 5000;

/** Gives the focus to the element `id` as soon as it is on the page, unless somebody has gone to another field or button by then. */
export function focusSoon(id: string): void {
  const from = document.activeElement;
  const startMs = performance.now();
  const look = () => {
    const at = document.activeElement;
    if (at !== from && at !== document.body) return;
    const element = document.getElementById(id);
    if (element !== null) element.focus();
    else if (performance.now() - startMs < PATIENCE_MS) setTimeout(look, 50);
  };
  look();
}
