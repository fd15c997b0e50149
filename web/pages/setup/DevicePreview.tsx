import { applyMapping } from '../../../edge/intake/mapping.ts';
import type { SenmlRecord } from '../../../edge/intake/senml.ts';
import type { Mapping } from '../../../edge/site/mapping.ts';
import { capital, fullMoment, temperature } from '../../look/format.ts';
import { setupText } from '../../text/setupText.ts';

const words = setupText.setup.devices;

/** What the mapping makes of the newest message, by the same code that will read the next one. */
export function DevicePreview({ mapping, payload }: { mapping: Mapping | null; payload: string | null }) {
  const read = mapping === null || payload === null ? null : applyMapping(mapping, payload);
  const [first] = read?.records ?? [];
  return (
    <section class="budget" aria-label={words.preview}>
      <h3>{words.preview}</h3>
      {read === null ? (
        <p class="soft">{words.previewNothing}</p>
      ) : (
        <>
          <dl class="facts">
            {read.records.map((record) => (
              <div key={`${record.name} ${record.unit}`}>
                <dt>{words.quantityName[record.name as keyof typeof words.quantityName] ?? record.name}</dt>
                <dd>{valueWords(record)}</dd>
              </div>
            ))}
          </dl>
          {first !== undefined && first.timeSeconds > 0 && (
            <p class="soft">{words.previewTime(fullMoment(first.timeSeconds * 1000))}</p>
          )}
          {read.faults.map((fault) => (
            <p class="fault" key={fault}>
              {capital(fault)}
            </p>
          ))}
        </>
      )}
    </section>
  );
}

function valueWords({ value, unit }: SenmlRecord): string {
  if (value === null) return '';
  if (unit === 'Cel') return temperature(value);
  return `${Number(value.toPrecision(6))}\u202f${words.unitName[unit ?? ''] ?? unit ?? ''}`;
}
