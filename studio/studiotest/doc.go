// Package studiotest checks the ports of package studio: one suite for each
// port, run by everything that implements it.
package studiotest
