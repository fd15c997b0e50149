import { signal } from '@preact/signals';
import type { ComponentType } from 'preact';
import { useEffect } from 'preact/hooks';
import { linkLost } from '../live/facts.ts';
import { text } from '../text/text.ts';

/**
 * A part that is fetched when it is first shown. A failed fetch says so and offers to load the page anew: browsers remember a failed
 * part, and after an update of the service the old one is gone for good. `Instead` stands in for it while nobody answers.
 */
export function lazy<P extends object>(load: () => Promise<ComponentType<P>>, Instead?: ComponentType<P>): ComponentType<P> {
  const loaded = signal<ComponentType<P> | 'loading' | 'failed' | null>(null);
  const start = () => {
    loaded.value = 'loading';
    load().then(
      (Part) => {
        loaded.value = Part;
      },
      () => {
        loaded.value = 'failed';
      },
    );
  };
  return function Lazy(props: P) {
    const Part = loaded.value;
    useEffect(() => {
      if (loaded.peek() === null) start();
    }, []);
    if (Part === 'failed')
      return (
        <>
          {Instead !== undefined && <Instead {...props} />}
          <div class="notice">
            <p>{text.page.failed}</p>
            <button type="button" class="button" onClick={() => window.location.reload()}>
              {text.action.retry}
            </button>
          </div>
        </>
      );
    if (Part === null || Part === 'loading')
      return (
        <>
          {Instead !== undefined && linkLost() && <Instead {...props} />}
          <p class="waiting">{text.page.loading}</p>
        </>
      );
    return <Part {...props} />;
  };
}
