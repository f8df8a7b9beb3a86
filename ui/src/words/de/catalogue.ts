// Deutsch: die Namen der Instrumente, Lesarten, Mundstücke und Mundrohre, die dem Programm beiliegen.
import said from '../../../../crates/routine/words/de.json';

export const catalogue: Record<string, string> = said.names;
