// Package ics reads and writes lessons as an iCalendar file (RFC 5545).
//
// A lesson that recurs is one event with its rule (RRULE); dates left out are
// EXDATE, further single dates RDATE, and a lesson of a rule that was moved, an
// event of the same UID with a RECURRENCE-ID, becomes a date left out and a single
// lesson. Wall times keep their zone; a time in UTC is one in the zone "UTC", and
// one without a zone is in the studio's. Events of whole days and those that were
// cancelled are passed over. Zones are known by their IANA names.
package ics
