/** The four questions that are answered, each with its figure, cause and ledger. */

import { createMemo, For, type JSX, Show } from 'solid-js';
import { sideOf } from '../answers/told.ts';
import type { ImpedanceAnswer, QuiescentAnswer, SwingAnswer, TransistorFigures, WaveformAnswer } from '../answers/types.ts';
import { impedanceScene } from '../figures/impedance.ts';
import { quiescentScene, spansOf } from '../figures/quiescent.ts';
import { spectrumScene } from '../figures/spectrum.ts';
import { swingScene } from '../figures/swing.ts';
import { waveformScene } from '../figures/waveform.ts';
import type { Frame } from '../session/session.ts';
import { say } from '../words/numbers.ts';
import { surroundingsOf } from '../words/surroundings.ts';
import { stretchLabel } from '../words/waveform.ts';
import { Figure } from './figure.tsx';
import { Proof, Section } from './section.tsx';
import { Symbols } from './symbols.tsx';

export interface SectionsProps {
  frame: Frame;
  computing: string;
  onLift(part: string): void;
  cursor: { share: number | null; onShare(share: number): void };
}

const WIDE = 700;
const SMALL = 340;

function isTransistor(figures: QuiescentAnswer['parts'][string]): figures is TransistorFigures {
  return 'collectorCurrent' in figures;
}

export function QuiescentSection(props: SectionsProps): JSX.Element {
  return (
    <Section<QuiescentAnswer> question="quiescent" frame={props.frame} computing={props.computing}>
      {(answer) => {
        const roles = createMemo(() =>
          Object.entries(answer().parts).filter((entry): entry is [string, TransistorFigures] => isTransistor(entry[1])),
        );
        return (
          <div class="pair">
            <Figure scene={() => quiescentScene(answer(), spansOf(props.frame.sheet))} most={SMALL} />
            <div class="side">
              <Show when={roles().length > 0}>
                <h3>What each transistor is there for</h3>
              </Show>
              <dl class="roles">
                <For each={roles().map(([name]) => name)}>
                  {(name) => {
                    const figures = (): TransistorFigures | undefined => roles().find(([given]) => given === name)?.[1];
                    return (
                      <Show when={figures()}>
                        {(given) => (
                          <>
                            <dt data-mention={name}>{name}</dt>
                            <dd>
                              <Show
                                when={given().role.sentence !== ''}
                                fallback={`${given().region}, ${say(given().collectorCurrent, 'A')}, ${say(Math.abs(given().collectorEmitterVoltage), 'V')} across it`}
                              >
                                <Symbols text={given().role.sentence} />
                              </Show>
                            </dd>
                          </>
                        )}
                      </Show>
                    );
                  }}
                </For>
              </dl>
              <Show when={answer().otherSolutions.length > 0}>
                <p class="note">
                  It can also rest otherwise: {answer().otherSolutions.length} more{' '}
                  {answer().otherSolutions.length === 1 ? 'solution' : 'solutions'}. {answer().search}
                </p>
              </Show>
            </div>
          </div>
        );
      }}
    </Section>
  );
}

export function SwingSection(props: SectionsProps): JSX.Element {
  return (
    <Section<SwingAnswer> question="swing" frame={props.frame} computing={props.computing}>
      {(answer, full) => {
        const surroundings = createMemo(() => surroundingsOf(answer(), props.frame.sheet));
        /** The same end in the last full answer, where it is the same cause. */
        const before = (side: 'low' | 'high'): SwingAnswer['low'] => {
          const [now, then] = [answer()[side], full()?.[side] ?? null];
          return now?.cause.part === then?.cause.part && now?.cause.event === then?.cause.event ? then : null;
        };
        return (
          <>
            <Figure scene={() => swingScene(answer(), { output: props.frame.sheet.output })} most={WIDE} />
            <For each={['low', 'high'] as const}>
              {(side) => (
                <Show when={answer()[side]}>
                  {(limit) => (
                    <Proof
                      cause={limit().cause}
                      full={before(side)?.cause}
                      help={before(side)?.help?.sentence}
                      context={{ ...surroundings(), side }}
                      onTry={tried(limit().cause, props.onLift)}
                    />
                  )}
                </Show>
              )}
            </For>
          </>
        );
      }}
    </Section>
  );
}

function tried(cause: NonNullable<SwingAnswer['low']>['cause'], onLift: (part: string) => void): (() => void) | undefined {
  const { evidence } = cause;
  return evidence?.change === 'lifted' ? () => onLift(evidence.part) : undefined;
}

export function ImpedanceSection(props: SectionsProps): JSX.Element {
  return (
    <Section<ImpedanceAnswer> question="impedance" frame={props.frame} computing={props.computing}>
      {(answer) => <Figure scene={() => impedanceScene(answer())} most={WIDE} />}
    </Section>
  );
}

export function WaveformSection(props: SectionsProps): JSX.Element {
  return (
    <Section<WaveformAnswer> question="waveform" frame={props.frame} computing={props.computing}>
      {(answer) => {
        const surroundings = createMemo(() => surroundingsOf(answer(), props.frame.sheet));
        const hasSpectrum = createMemo(() => Boolean(answer().spectrum?.fundamental.magnitude) && answer().period !== null);
        const told = createMemo(() => answer().stretches.filter((stretch) => stretch.cause !== null));
        return (
          <>
            <Figure
              scene={() => waveformScene(answer(), undefined, { output: props.frame.sheet.output, drive: props.frame.sheet.drive?.node })}
              most={WIDE}
              cursor={props.cursor}
            />
            <For each={told().map((_, index) => index)}>
              {(index) => (
                <Show when={told()[index]}>
                  {(stretch) => (
                    <>
                      <h3 class="stretch">{stretchLabel(stretch())}</h3>
                      <Show when={stretch().cause}>
                        {(cause) => (
                          <Proof
                            cause={cause()}
                            context={{ ...surroundings(), side: sideOf(stretch(), answer(), surroundings().output) }}
                            onTry={tried(cause(), props.onLift)}
                          />
                        )}
                      </Show>
                    </>
                  )}
                </Show>
              )}
            </For>
            <Show when={hasSpectrum()}>
              <Figure scene={() => spectrumScene(answer())} most={WIDE} />
            </Show>
          </>
        );
      }}
    </Section>
  );
}
