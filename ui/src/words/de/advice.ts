// Deutsch: was zu einem Befund zu sagen ist, solange niemand eigene Worte hinterlegt hat.
export const advice: Record<string, string> = {
  'These notes lie under the pitch. Before changing the embouchure, check the tuning slide and the fingering; then sing the note, blow through the middle of the sound, and let the air do the work.':
    'Diese Töne liegen zu tief. Bevor am Ansatz etwas geändert wird: Stimmzug und Griff prüfen; dann den Ton singen, durch die Mitte des Klangs blasen und die Luft arbeiten lassen.',
  'These notes lie well under the pitch. Play them slowly over the drone, listen for the beating to stop, and compare with an alternate fingering from the chart.':
    'Diese Töne liegen deutlich zu tief. Langsam über dem Bordun spielen, hören, bis die Schwebung steht, und mit einem Hilfsgriff aus der Tabelle vergleichen.',
  'These notes lie above the pitch. Let the jaw drop a little, keep the corners quiet, and use the slide the horn gives you before you use the lip.':
    'Diese Töne liegen zu hoch. Den Kiefer ein wenig sinken lassen, die Mundwinkel ruhig halten und erst den Zug nehmen, den das Instrument hat, dann die Lippe.',
  'These notes lie well above the pitch. Check how far the slides are out, then play them softly over the drone without pressing.':
    'Diese Töne liegen deutlich zu hoch. Nachsehen, wie weit die Züge stehen, dann leise und ohne Druck über dem Bordun spielen.',
  'The pitch moves within the note. Long notes, soft, with an even stream of air; stop while the sound is still good.':
    'Die Tonhöhe bewegt sich im Ton. Lange Töne, leise, mit gleichmäßiger Luft; aufhören, solange der Klang noch gut ist.',
  'The note starts away from its centre and slides in. Hear the pitch before you play, and start it in its slot.':
    'Der Ton beginnt neben seiner Mitte und rutscht hinein. Die Tonhöhe innerlich hören, bevor er kommt, und ihn gleich in seiner Mulde beginnen.',
  'The note takes long to speak. Let the tongue release the air rather than stop it, and breathe in time so that the air is already moving.':
    'Der Ton spricht spät an. Die Zunge soll die Luft freigeben, nicht aufhalten; im Takt einatmen, damit die Luft schon fließt.',
  'Another partial spoke first. Buzz or sing the interval, then play the note alone several times from silence before the line.':
    'Ein anderer Naturton sprach zuerst an. Das Intervall summen oder singen, dann den Ton vor der Linie einige Male allein aus der Stille spielen.',
  'The slur touched a partial on the way. Keep the air moving through the change and practise the two notes back and forth, slower than you think.':
    'Die Bindung hat unterwegs einen Naturton berührt. Die Luft durch den Wechsel fließen lassen und die beiden Töne hin und her üben, langsamer als gedacht.',
  'The slur takes its time. Move the valves or slide quickly even in slow music, and change the air and the tube at the same moment.':
    'Die Bindung lässt sich Zeit. Ventile oder Zug auch in langsamer Musik schnell bewegen und Luft und Rohr im selben Augenblick wechseln.',
  'The sound sags between the notes. Blow through the slur as if it were one long note.':
    'Zwischen den Tönen sinkt der Klang ein. Durch die Bindung blasen, als wäre sie ein langer Ton.',
  'The slur goes past its note and comes back. Aim a little lower with the air, and trust the slot to hold the note.':
    'Die Bindung schießt über ihren Ton hinaus und kommt zurück. Mit der Luft etwas tiefer zielen und der Mulde zutrauen, dass sie den Ton hält.',
  'The end of the note drops. Keep the support to the very end, and stop the note by stopping the air, not by closing the throat.':
    'Das Ende des Tons sackt ab. Die Stütze bis zuletzt halten und den Ton mit der Luft beenden, nicht mit der Kehle.',
  'Louder than was asked. Play the line so softly that it almost fails, then allow a little more.':
    'Lauter als verlangt. Die Linie so leise spielen, dass sie fast versagt, dann ein wenig mehr zulassen.',
  'Some notes jump out of the line. Play it at one soft dynamic, and listen for the note that sticks out.':
    'Einzelne Töne springen aus der Linie. Alles in einer leisen Dynamik spielen und auf den Ton hören, der heraussticht.',
  'The tone changes along the line. Keep the same vowel and the same room in the mouth from bottom to top.':
    'Die Klangfarbe ändert sich entlang der Linie. Von unten bis oben denselben Vokal und denselben Raum im Mund behalten.',
  'The top note does not sound the same from every start. Play it alone first, keep that sound in the ear, then reach it from below.':
    'Der Spitzenton klingt nicht von jedem Anfang gleich. Erst allein spielen, diesen Klang im Ohr behalten, dann von unten erreichen.',
  'A note was left out or another sounded in its place. Finger the line in silence and say the notes, then play it at half the tempo.':
    'Ein Ton fehlte, oder ein anderer klang an seiner Stelle. Die Linie stumm greifen und die Töne nennen, dann in halbem Tempo spielen.',
  'A note did not speak. Play it alone from silence, softly, several times; if it stays away today, rest.':
    'Ein Ton sprach nicht an. Allein aus der Stille spielen, leise, mehrmals; bleibt er heute weg, ausruhen.',
  'The whole take lies off the pitch. Warm the instrument, then set the tuning slide against the drone before the next line.':
    'Die ganze Aufnahme liegt neben der Stimmung. Das Instrument warm spielen, dann vor der nächsten Zeile den Stimmzug am Bordun einstellen.',
};
