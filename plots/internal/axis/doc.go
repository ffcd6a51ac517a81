// Package axis lays values along an axis: linear, square-root or logarithmic,
// with round ticks whose labels have room.
package axis
