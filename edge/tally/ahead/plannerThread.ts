import { parentPort } from 'node:worker_threads';
import { type Asked, adviceOn } from './advice.ts';

parentPort?.on('message', (asked: Asked) => parentPort?.postMessage(adviceOn(asked)));
