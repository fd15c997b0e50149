import { useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import { call, type Problem } from '../../api/call.ts';
import type { Connection } from '../../api/shapes.ts';
import { ProblemNote } from '../../parts/form.tsx';
import { TextField } from '../../parts/TextField.tsx';
import { setupText } from '../../text/setupText.ts';
import { text } from '../../text/text.ts';

/** Characters that may stand in a probe's identifier; others would change the meaning of a command line. */
const NOT_IN_IDS = /[^A-Za-z0-9._-]/g;

/** What has to be typed into a probe, and a command that does the same by hand. */
export function Connect() {
  const connection = useSignal<Connection | null>(null);
  const problem = useSignal<Problem | null>(null);
  const probe = useSignal('probe-1');
  const shown = useSignal(false);
  useEffect(() => {
    void call<Connection>('GET', '/api/connection').then((answer) => {
      if (answer.ok) connection.value = answer.value;
      else problem.value = answer.problem;
    });
  }, []);
  const known = connection.value;
  if (known === null)
    return problem.value === null ? <p class="soft">{text.page.loading}</p> : <ProblemNote problem={problem.value} />;

  const id = probe.value.replace(NOT_IN_IDS, '');
  const topic = known.topic.replace('{probe}', id);
  const needsKey = known.probeAuth === 'required';
  const key = known.probeKey !== null && shown.value ? known.probeKey : 'KEY';
  const facts: readonly (readonly [string, string])[] = [
    [setupText.setup.connect.host, window.location.hostname],
    [setupText.setup.connect.port, String(known.mqttPort)],
    [setupText.setup.connect.topic, topic],
    [setupText.setup.connect.user, needsKey ? id : setupText.setup.connect.userOpen],
    ...(needsKey
      ? [[setupText.setup.connect.key, shown.value && known.probeKey !== null ? known.probeKey : '••••••••'] as const]
      : []),
  ];
  return (
    <>
      <p>{setupText.setup.connect.lead}</p>
      <TextField label={setupText.setup.connect.probe} path="probe" problem={null} value={probe} />
      <dl class="facts">
        {facts.map(([name, value]) => (
          <div key={name}>
            <dt>{name}</dt>
            <dd>
              <code>{value}</code>
            </dd>
          </div>
        ))}
      </dl>
      {needsKey && known.probeKey === null && <p class="soft">{setupText.setup.connect.keyHidden}</p>}
      {known.probeKey !== null && !shown.value && (
        <button
          type="button"
          class="button"
          onClick={() => {
            shown.value = true;
          }}
        >
          {setupText.setup.connect.keyShow}
        </button>
      )}
      <div class="part">
        <p>{setupText.setup.connect.example}</p>
        <Command line={commandOf(known, id, topic, needsKey ? key : null)} />
      </div>
    </>
  );
}

function commandOf({ mqttPort }: Connection, id: string, topic: string, key: string | null): string {
  const who = key === null ? '' : ` -u ${id} -P '${key}'`;
  return `mosquitto_pub -h ${window.location.hostname} -p ${mqttPort} -q 1 -i ${id}${who} -t ${topic} -m '[{"n":"temperature","u":"Cel","v":8.4}]'`;
}

/** A line to copy. The button is left out where the browser keeps the clipboard from plain HTTP pages. */
function Command({ line }: { line: string }) {
  const copied = useSignal('');
  const copy = async () => {
    await navigator.clipboard.writeText(line);
    copied.value = line;
  };
  return (
    <>
      <pre class="command">
        <code>{line}</code>
      </pre>
      {window.isSecureContext && (
        <button type="button" class="button" onClick={copy}>
          {copied.value === line ? setupText.setup.connect.copied : setupText.setup.connect.copy}
        </button>
      )}
    </>
  );
}
