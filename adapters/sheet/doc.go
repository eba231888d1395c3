// Package sheet makes a post into a page: one HTML file that is complete in
// itself, or a PDF.
//
// A page looks like the pictures it carries (see package charts): ink on paper,
// Liberation Serif, one accent. Items stand under the headings of their parts,
// each with its number in the margin, since that number is what is answered in
// the chat. A picture stands with the item it belongs to; the others come last.
//
// The HTML file has its style and its pictures inside and no script, and says so
// to the browser in a content security policy, so that a copy of it that was
// passed on can do nothing either. It follows the light or dark of the reader's
// device, is one column on a phone, and prints on A4 and on Letter. A picture's
// text equivalent is its alternative text.
//
// The PDF has the fonts inside. A letter that they lack is printed as a question
// mark; text that runs from right to left is not set.
package sheet
