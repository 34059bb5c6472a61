/** Names in a sheet that refer to something else in it: nodes, loads, heat sinks, devices of the drawer. */
import { builtinNames } from '../devices/builtin.ts';
import { entryKeys, isWritten } from './document.ts';
import { suggestion } from './nearest.ts';
import { mentionedNodes } from './read-part.ts';
import { type Log, spoken } from './rule.ts';
import { GROUND, type Sheet } from './types.ts';

/** Report every name that refers to nothing; `wanted` is the load that the sheet asks for. */
export function checkNames(sheet: Sheet, wanted: string | undefined, log: Log): void {
  const onParts = mentionedNodes(log.document);
  const supplied = entryKeys(log.document, 'supplies');
  const nodes = new Set([GROUND, ...supplied, ...onParts]);
  if (supplied.includes(GROUND))
    log.reportAt(
      `supplies.${GROUND}`,
      'ground-supplied',
      'supplies: gnd is ground, which is at 0 V by definition; give the supply another name.',
    );
  const node = (path: string, name: string | undefined): void => {
    if (name === undefined || nodes.has(name)) return;
    log.reportAt(path, 'unknown-node', `${spoken(path)}: nothing is connected to a node "${name}"; ${suggestion(name, [...nodes])}.`);
  };
  node('drive.node', sheet.drive?.node);
  if (sheet.drive?.node === GROUND)
    log.reportAt('drive.node', 'ground-driven', 'drive, node: the generator would feed ground; name the node that is the input.');
  nodes.add(sheet.drive?.node ?? GROUND);
  node('output', sheet.output);
  if (sheet.output === GROUND)
    log.reportAt('output', 'ground-output', 'output: ground cannot be the output; name the node that the load hangs on.');
  for (const load of sheet.loads) {
    node(`loads.${load.name}.to`, load.to);
    if (!load.open && sheet.output !== undefined && load.to === sheet.output)
      log.reportAt(
        `loads.${load.name}`,
        'one-node',
        `${load.name}: the load has both ends on the node ${load.to}; let it return elsewhere.`,
      );
  }
  for (const name of Object.keys(sheet.readings?.nodes ?? {})) node(`readings.${name}`, name);
  for (const [index, capture] of sheet.captures.entries()) {
    for (const [at, trace] of capture.traces.entries()) node(`captures.${index}.traces.${at}.node`, trace.node);
  }
  checkLoads(sheet, wanted, log);
  checkHeatSinks(sheet, log);
  for (const [index, name] of (sheet.drawer ?? []).entries()) {
    const known = [...entryKeys(log.document, 'devices'), ...builtinNames()];
    if (!known.includes(name))
      log.reportAt(`drawer.${index}`, 'unknown-device', `drawer: there is no device "${name}"; ${suggestion(name, known)}.`);
  }
}

function checkLoads(sheet: Sheet, wanted: string | undefined, log: Log): void {
  const named = entryKeys(log.document, 'loads');
  if (wanted !== undefined && !named.includes(wanted)) {
    log.reportAt('load', 'unknown-load', `load: there is no load "${wanted}"; ${suggestion(wanted, named)}.`);
  }
  if (sheet.loads.some((load) => !load.open) && !isWritten(log.document, 'output')) {
    log.reportAt(
      'loads',
      'load-without-output',
      'loads: the loads hang on nothing, as the sheet names no `output`; add the node that they hang on.',
      'warning',
    );
  }
}

function checkHeatSinks(sheet: Sheet, log: Log): void {
  const known = entryKeys(log.document, 'heatSinks');
  for (const part of sheet.parts) {
    if (!('heatSink' in part) || part.heatSink === undefined || known.includes(part.heatSink)) continue;
    log.reportAt(
      `parts.${part.name}.heatSink`,
      'unknown-heat-sink',
      `${part.name}: there is no heat sink "${part.heatSink}"; ${suggestion(part.heatSink, known)}.`,
    );
  }
}
