/** What the generator sends: its waveform, and four knobs. */
import { For, type JSX, Show } from 'solid-js';
import type { Scale } from '../session/steps.ts';
import type { Drive, DriveWaveform, Sheet } from '../sheet/types.ts';
import type { Unit } from '../words/numbers.ts';
import { Knob } from './knob.tsx';
import { readAs } from './typed.ts';

const WAVES: Readonly<Record<DriveWaveform, string>> = {
  sine: 'M1 9c4-11 8-11 11 0s7 11 11 0',
  triangle: 'M1 9 6.5 2 17.5 16 23 9',
  square: 'M1 9V3h11v12h11V9',
  none: 'M1 9h22',
};

export interface DriveProps {
  sheet: Sheet;
  saved: Sheet;
  onWaveform(waveform: DriveWaveform): void;
  onTurn(path: string, value: number): void;
  onRelease(path: string, value: number): void;
  onRestore(): void;
}

const VOLTS: Scale = { kind: 'decades', coarse: '1-2-5', fine: 'tidy', least: 0.001, most: 100, zero: true };
const HERTZ: Scale = { kind: 'decades', coarse: '1-2-5', fine: 'tidy', least: 0.1, most: 100e6, zero: false };
const SOURCE: Scale = { kind: 'decades', coarse: 'E12', fine: 'E24', least: 1, most: 10e6, zero: true };

/** Offsets reach as far as the supplies. */
function offsetScale(sheet: Sheet): Scale {
  const most = Math.max(1, ...sheet.supplies.map((supply) => Math.abs(supply.volts)));
  return { kind: 'even', coarse: 0.1, fine: 0.1, least: -most, most };
}

interface DriveKnob {
  path: string;
  name: string;
  label: string;
  unit: Unit;
  value(drive: Drive): number | undefined;
  scale(sheet: Sheet): Scale;
}

const AMPLITUDE_WORDS = { peakToPeak: 'peak to peak', peak: 'peak', rms: 'rms' } as const;

/** The amplitude goes by the form that the sheet's author chose. */
function knobs(drive: Drive): DriveKnob[] {
  const rows: DriveKnob[] = [];
  const { amplitude } = drive;
  if (amplitude !== undefined) {
    const words = AMPLITUDE_WORDS[amplitude.form];
    rows.push({
      path: `drive.${amplitude.form}`,
      name: drive.atNode ? `${words}, at the node` : `${words}, open circuit`,
      label: words,
      unit: 'V',
      value: (given) => given.amplitude?.volts,
      scale: () => VOLTS,
    });
  }
  rows.push({ path: 'drive.offset', name: 'offset', label: 'offset', unit: 'V', value: (given) => given.offset, scale: offsetScale });
  if (drive.frequency !== undefined) {
    rows.push({
      path: 'drive.frequency',
      name: 'frequency',
      label: 'frequency',
      unit: 'Hz',
      value: (given) => given.frequency,
      scale: () => HERTZ,
    });
  }
  rows.push({
    path: 'drive.sourceResistance',
    name: 'source resistance',
    label: 'source',
    unit: 'Ω',
    value: (given) => given.sourceResistance,
    scale: () => SOURCE,
  });
  return rows;
}

export function DriveControls(props: DriveProps): JSX.Element {
  const paths = (): string[] => (props.sheet.drive === undefined ? [] : knobs(props.sheet.drive).map((knob) => knob.path));
  const knobFor = (path: string): DriveKnob | undefined =>
    props.sheet.drive === undefined ? undefined : knobs(props.sheet.drive).find((knob) => knob.path === path);
  return (
    <section class="drive" aria-label="Drive">
      <h2 class="cap">Drive</h2>
      <Show when={props.sheet.drive} fallback={<p class="hint">This sheet has no drive: it is asked at rest only.</p>}>
        {(drive) => (
          <>
            <div class="wavepick" role="radiogroup" aria-label="Waveform">
              <For each={Object.keys(WAVES) as DriveWaveform[]}>
                {(waveform) => (
                  <label>
                    <input
                      type="radio"
                      name="waveform"
                      checked={drive().waveform === waveform}
                      on:change={() => props.onWaveform(waveform)}
                    />
                    <svg viewBox="0 0 24 18" width="24" height="18" aria-hidden="true">
                      <path d={WAVES[waveform]} />
                    </svg>
                    {waveform}
                  </label>
                )}
              </For>
            </div>
            <div class="knobs">
              {/* Keyed by the path, so that a knob outlives the frames in which its value changes. */}
              <For each={paths()}>
                {(path) => (
                  <Show when={knobFor(path)}>
                    {(knob) => (
                      <Knob
                        name={knob().name}
                        label={knob().label}
                        unit={knob().unit}
                        value={knob().value(drive()) ?? 0}
                        saved={
                          (props.saved.drive === undefined ? undefined : knob().value(props.saved.drive)) ?? knob().value(drive()) ?? 0
                        }
                        scale={knob().scale(props.sheet)}
                        read={(text) => readAs(text, knob().unit, { least: path === 'drive.offset' ? undefined : 0 })}
                        onTurn={(value) => props.onTurn(path, value)}
                        onRelease={(value) => props.onRelease(path, value)}
                        onRestore={() => props.onRestore()}
                      />
                    )}
                  </Show>
                )}
              </For>
            </div>
          </>
        )}
      </Show>
    </section>
  );
}
