// Package studio runs a brass studio in a chat.
package studio
