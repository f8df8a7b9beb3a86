// What a new exercise starts from: a major arpeggio under a roof, to be changed at once.
import { quoted } from '../../parts/toml-lines';

export function beginning(title: string, purpose: string): string {
  return `version = 1
id = "my-exercise"
title = ${quoted(title)}
family = "arpeggios"
purpose = ${quoted(purpose)}

harmony = "major-triad"
figure = { degrees = [1, 3, 5, 8] }
travel = { from = "C4", to = "A3", by = "semitone" }
roof = "C5"
turn = "back"

rhythm = "1/4"
tempo = [66, 96]
slur = "line"
dynamic = "mf"
`;
}
