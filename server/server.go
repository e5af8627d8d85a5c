// Package server puts Tankful before people and machines over HTTP.
package server
