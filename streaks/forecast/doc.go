// Package forecast says what a log of tempi promises.
//
// Tempo grows with practice along a law: fast at first, ever more slowly, up to
// a limit. From the sessions in which a line was clean, [Reach] fits the two laws
// the literature knows ([Exponential], [Power]) and says between which dates the
// goal is likely to be reached; or that nothing can be said, and why. [Judge]
// looks at the last weeks only and says whether a line has stopped moving.
//
// All of it is about one student's own sessions. Nothing is compared with other
// students, and nothing is known of a body: a forecast is arithmetic about tempi
// that were written down.
//
// Everything is pure. Where chance is drawn on, it is from a fixed seed, so that
// the same log always gives the same forecast.
package forecast
