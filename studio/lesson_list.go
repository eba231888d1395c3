package studio

import (
	"context"
	"fmt"
)

// A Taught is a student with her lessons.
type Taught struct {
	Member  MemberID
	Name    string
	Lessons []Lesson
}

// Lessons returns the students of a studio with their lessons, by name.
func (s *Service) Lessons(ctx context.Context, id StudioID) (all []Taught, err error) {
	err = s.store.View(ctx, func(tx Tx) error {
		members, err := tx.Members(id)
		for _, m := range members {
			if m.Role == Student && m.Left == 0 {
				all = append(all, Taught{m.ID, m.Name, m.Lessons})
			}
		}
		return err
	})
	return all, err
}

// SetLessons sets the lessons of students of one studio, all or none of them, and
// when their sheets are posted.
func (s *Service) SetLessons(ctx context.Context, id StudioID, all []Taught) error {
	defer signal(s.wake)
	return s.store.Update(ctx, func(tx Tx) error {
		if err := tx.Claim(id); err != nil {
			return err
		}
		st, err := tx.Studio(id)
		if err != nil {
			return err
		}
		for _, one := range all {
			m, err := tx.Member(one.Member)
			if err != nil {
				return fmt.Errorf("lessons of %s: %w", one.Member, err)
			}
			for i := range one.Lessons {
				if err := one.Lessons[i].Check(); err != nil {
					return fmt.Errorf("lessons of %s: %w", one.Member, err)
				}
			}
			m.Lessons = one.Lessons
			if err := tx.PutMember(m); err != nil {
				return err
			}
			if err := s.setLessonDue(tx, &st, &m); err != nil {
				return err
			}
		}
		return nil
	})
}
