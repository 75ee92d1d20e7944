// Package records keeps who did what and when: people and their roster
// entries, attempts, quiz answers, practice logs and refresher sign-offs. It
// does not judge anything, and it never looks at the clock: every time is an
// argument.
//
// [Open] gives a [Store] on SQLite (a file, made when it is missing) or on
// PostgreSQL (a URL). Both behave alike; one suite of tests holds them to it.
//
//   - Durable before acknowledged: when a method that writes returns nil, the
//     row has been synced to storage. Writers that come at the same moment on
//     SQLite share one sync.
//   - Whole or not at all: [Store.Add] writes all its rows in one transaction.
//   - Append-only: nothing is overwritten. A correction is a new row that names
//     the row it replaces; triggers in the database refuse any other change.
//     Only [Store.Forget] takes rows away, those of one person.
//   - Sign-offs of a site form a chain of hashes that [Store.Verify] checks;
//     see [Entry] for what it proves and what it can't.
//
// Times are kept in UTC to the microsecond. Durations are the person's, not the
// motion's, unless said. A Store is safe for concurrent use, by several
// processes too; a SQLite file must lie on a local disk, not on a network
// folder.
package records
