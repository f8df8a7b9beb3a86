// Deutsch: Titel, Zwecke und Worte der Übungen, Tage und Stufen, die dem Programm beiliegen. Gedruckte Seiten lesen dieselbe Datei.
import said from '../../../../crates/routine/words/de.json';

export const library: Record<string, string> = said.library;
