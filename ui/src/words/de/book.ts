// Deutsch: die Wörter für Hefte und Stundenblätter.
export const book = {
  title: 'Ein Heft binden',
  lead: 'Für einen Spieler oder eine ganze Klasse: Umschlag, Inhalt, Grifftabelle und Noten als ein PDF.',
  forWhom: 'Für wen',
  everybody: 'Alle',
  nobody: 'Niemand',
  together: 'Was sie spielen, klingt zusammen: dieselben Töne, jeder in der Oktave seines Instruments.',
  pieces: 'Was zu üben ist',
  addPiece: 'Einen Tag oder eine Übung hinzufügen',
  choosePiece: 'Wählen …',
  days: 'Ganze Tage',
  earlier: (piece: string) => `${piece}: früher`,
  later: (piece: string) => `${piece}: später`,
  takeOut: (piece: string) => `${piece}: herausnehmen`,
  look: 'Auf Papier',
  cover: 'Titel auf dem Umschlag',
  usualTitle: 'Tägliche Übungen',
  ownLevel: 'bei jedem die eigene',
  bind: 'PDF erstellen',
  binding: 'Wird gebunden …',
  needs: 'Mindestens einen Spieler und ein Stück wählen.',
  made: (players: number, pieces: number) => `Gebunden: ${players} ${players === 1 ? 'Heft' : 'Hefte'} mit je ${pieces} ${pieces === 1 ? 'Stück' : 'Stücken'}.`,
};

export const lesson = {
  print: 'Blatt drucken',
  bind: 'Übungen als Heft',
  practise: 'Zu üben',
  takes: 'Aufnahmen, um die es ging',
  heard: 'Was zu hören war',
  sheet: 'Blatt',
};
