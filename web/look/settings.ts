import { effect, type Signal, signal } from '@preact/signals';

export const unit = kept('unit', ['F', 'C']);
export const hourCycle = kept('hours', ['24', '12']);
export const theme = kept('theme', ['auto', 'light', 'dark']);

effect(() => {
  document.documentElement.dataset.theme = theme.value;
});

/** A choice that this browser remembers, the first of `choices` until somebody chooses. */
function kept<const T extends string>(name: string, choices: readonly [T, ...T[]]): Signal<T> {
  const key = `warmhours.${name}`;
  const choice = signal(choices.find((option) => option === read(key)) ?? choices[0]);
  effect(() => write(key, choice.value));
  return choice;
}

// Private windows and strict settings refuse storage by throwing; the choice then lasts as long as the page.
function read(key: string): string | null {
  try {
    return localStorage.getItem(key);
  } catch {
    return null;
  }
}

function write(key: string, value: string): void {
  try {
    localStorage.setItem(key, value);
  } catch {
    return;
  }
}
